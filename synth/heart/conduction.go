package heart

import (
	"math"

	"telltrace/synth/ecg"
)

// exciteAtria starts a P wave unless the atria are refractory.
func (h *Heart) exciteAtria(t float64, from ecg.Origin, focus int, retrograde bool) {
	if t-h.lastAtrial < h.p.Atria {
		return
	}
	h.lastAtrial = t
	a := h.emit(t, OfAtria, from)
	a.Focus, a.Retrograde = focus, retrograde
	if from == ecg.OriginSinus {
		a.Place = h.place
	}
	h.sensedAtria(t)
	h.coupleAtria(t, from)
	if from != ecg.OriginSinus && h.p.Sinus.Rate > 0 {
		h.schedule(event{at: t + sinusReturn + h.sinusInterval(t), kind: sinusFires})
	}
	if !retrograde {
		if from == ecg.OriginPaced {
			from = ecg.OriginAtrial // what is conducted is no paced QRS
		}
		h.enterPath(t, from, t)
		h.enterNodeFromAbove(t, from, focus, t)
	}
}

// enterNodeFromAbove: p is the onset of the P wave it comes from, NaN for none.
func (h *Heart) enterNodeFromAbove(t float64, from ecg.Origin, focus int, p float64) {
	n := &h.p.Node
	recovery := t - h.nodeLast
	if n.Blocked || h.inNode {
		return
	}
	if recovery < n.Refractory {
		if n.Conceal > 0 && recovery > 0 { // it dies in the node but leaves it tired
			h.nodeLast += n.Conceal * recovery * h.rng.Float64()
		}
		return
	}
	h.inNode = true
	delay := n.Delay + n.extra(recovery)
	if from == ecg.OriginSinus {
		delay -= h.p.Sinus.Nearer * float64(h.place)
	}
	h.schedule(event{at: t + delay, kind: nodeExits, p: p, from: from, focus: focus})
}

// enterNodeFromBelow: a wave from the ventricles meets one from above and both
// die; or finds the node ready, leaves it refractory, and may go on to the atria.
func (h *Heart) enterNodeFromBelow(e *event) {
	if h.p.Node.Blocked {
		return
	}
	if h.inNode {
		h.inNode = false
		h.cancel(nodeExits) // the wave from above is gone
		h.nodeLast = e.at
		return
	}
	if e.at-h.nodeLast < h.p.Node.Refractory {
		return
	}
	h.nodeLast = e.at
	if h.p.Node.Retrograde > 0 {
		h.schedule(event{at: e.at + h.p.Node.Retrograde, kind: atriaFromBelow, from: e.from, focus: e.focus})
	}
}

// exciteVentricles starts a QRS unless the ventricles are refractory. A second
// wavefront close behind the first makes the beat a fusion of both.
func (h *Heart) exciteVentricles(t float64, from ecg.Origin, focus int, p float64) bool {
	if h.p.Ventricles.Fibrillating {
		return false
	}
	rr := t - h.lastVentricular
	if rr < h.window() && h.fuse(t, from, focus, p) {
		return false
	}
	qt := h.p.Ventricles.QTc * math.Sqrt(h.laggedRR)
	if rr < ventricularERP*h.p.Ventricles.QTc*math.Sqrt(min(h.laggedRR, h.lastRR)) {
		return false
	}
	a := h.emit(t, OfVentricles, from)
	a.Focus, a.P, a.RR, a.QT, a.NodeAfter = focus, p, rr, qt, math.Inf(1)
	if from != ecg.OriginVentricular && from != ecg.OriginPaced {
		a.Bundle = h.bundle(rr)
	}
	if focus >= 0 && focus < len(h.foci) {
		a.Nth = h.foci[focus].nth
	}
	h.lastVentricular, h.lastRR = t, rr
	if !h.p.Ventricles.Steady || from != ecg.OriginVentricular {
		h.laggedRR += (rr - h.laggedRR) * (1 - math.Exp(-rr/qtMemory))
	}
	h.sensedVentricles(t)
	h.resetFoci(t, from)
	return true
}

// bundle is the branch that does not conduct a beat which comes rr after the last.
func (h *Heart) bundle(rr float64) Bundle {
	b := h.p.Bundles
	switch {
	case b.Left:
		return LeftBundle
	case b.Right, b.Tired > 0 && rr < b.Tired*h.lastRR:
		return RightBundle
	default:
		return NoBundle
	}
}

// window is how far apart two wavefronts may share the ventricles.
func (h *Heart) window() float64 {
	if h.p.Path.Delay > 0 {
		return pathWindow
	}
	return fusionWindow
}

// fuse lets a second wavefront join the beat that is under way.
func (h *Heart) fuse(t float64, from ecg.Origin, focus int, p float64) bool {
	for i := len(h.out) - 1; i >= 0; i-- {
		first := &h.out[i]
		if first.Chamber != OfVentricles {
			continue
		}
		if first.ViaPath {
			first.NodeAfter = min(first.NodeAfter, t-first.At)
			return true
		}
		fromMuscle := func(o ecg.Origin) bool { return o == ecg.OriginVentricular || o == ecg.OriginPaced }
		ectopic, second := fromMuscle(first.Origin), fromMuscle(from)
		if ectopic == second || t-first.At >= fusionWindow {
			return false
		}
		lead := 0.5 + 0.5*(t-first.At)/fusionWindow // share of the earlier one
		if second {
			first.Focus, first.Fusion = focus, 1-lead
		} else {
			first.P, first.Fusion = p, lead
		}
		first.Origin = ecg.OriginFusion
		return true
	}
	return false
}

// enterPath starts a wave down the accessory path.
func (h *Heart) enterPath(t float64, from ecg.Origin, p float64) {
	if h.p.Path.Delay == 0 || t-h.lastPath < h.p.Path.Refractory {
		return
	}
	h.lastPath = t
	h.schedule(event{at: t + h.p.Path.Delay, kind: pathExits, from: from, focus: -1, p: p})
}

// byPath excites the ventricles where the path ends.
func (h *Heart) byPath(e *event) {
	if !h.exciteVentricles(e.at, e.from, -1, e.p) {
		return
	}
	for i := range h.out {
		if h.out[i].Chamber == OfVentricles && h.out[i].At == e.at {
			h.out[i].ViaPath = true
		}
	}
	h.schedule(event{at: e.at + pathWindow, kind: nodeFromBelow, from: ecg.OriginVentricular, focus: -1})
}
