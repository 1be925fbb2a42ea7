package heart

import (
	"math"

	"telltrace/synth/ecg"
)

// pacerState is what a stimulator remembers.
type pacerState struct {
	loss, silence counter
}

func (h *Heart) startPacer(start float64) {
	p := &h.p.Pacer
	if p.Rate == 0 {
		return
	}
	h.pacer.loss, h.pacer.silence = newCounter(h.rng, p.Loss), newCounter(h.rng, p.Silence)
	wait := 60 / p.Rate * h.rng.Float64()
	if p.Atrium {
		h.schedule(event{at: start + wait, kind: atriumPaced})
	} else {
		h.schedule(event{at: start + wait, kind: chamberPaced})
	}
}

// sensedAtria restarts the pacer's waits at an atrial beat.
func (h *Heart) sensedAtria(t float64) {
	p := &h.p.Pacer
	if p.Rate == 0 || !p.Atrium || p.Deaf {
		return
	}
	h.schedule(event{at: t + 60/p.Rate, kind: atriumPaced})
	if p.Chamber {
		h.schedule(event{at: t + p.AV, kind: chamberPaced})
	}
}

// sensedVentricles restarts the ventricular wait at a ventricular beat.
func (h *Heart) sensedVentricles(t float64) {
	p := &h.p.Pacer
	if p.Rate == 0 || !p.Chamber || p.Deaf {
		return
	}
	if p.Atrium {
		h.cancel(chamberPaced) // the beat has come, no spike is needed
		return
	}
	h.schedule(event{at: t + 60/p.Rate, kind: chamberPaced})
}

// pace gives a spike whose wait is over, unless the pacer is silent, and excites
// its chamber, unless capture is lost or the chamber is refractory.
func (h *Heart) pace(e *event) {
	p, atrial := &h.p.Pacer, e.kind == atriumPaced
	again := event{at: e.at + 60/p.Rate, kind: e.kind}
	if atrial || !p.Atrium {
		h.schedule(again) // sensing will put it off
	}
	if p.Silence[1] > 0 && h.pacer.silence.blocks(h.rng, p.Silence, p.Silenced) {
		return
	}
	chamber := OfVentricles
	if atrial {
		chamber = OfAtria
	}
	h.emit(e.at, Spike, ecg.OriginPaced).Focus = int(chamber)
	if atrial && p.Chamber && p.Deaf {
		h.schedule(event{at: e.at + p.AV, kind: chamberPaced})
	}
	if p.Loss[1] > 0 && h.pacer.loss.blocks(h.rng, p.Loss, p.Lost) {
		return
	}
	if atrial {
		h.exciteAtria(e.at+spikeToWave, ecg.OriginPaced, -1, false)
		return
	}
	if h.exciteVentricles(e.at+spikeToWave, ecg.OriginPaced, -1, h.pacedAfter(e.at)) {
		h.schedule(event{at: e.at + toNode, kind: nodeFromBelow, from: ecg.OriginPaced, focus: -1})
	}
}

// spikeToWave is the time from the spike to the muscle's answer, s.
const spikeToWave = 0.012

// pacedAfter is the atrial beat that a ventricular spike follows, NaN when there is
// none near: it filled the ventricles though it was not conducted.
func (h *Heart) pacedAfter(t float64) float64 {
	if d := t - h.lastAtrial; d > 0.05 && d < 0.32 {
		return h.lastAtrial
	}
	return math.NaN()
}
