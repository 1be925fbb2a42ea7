package heart

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
)

// steady is an adult at rest whose sinus node does not vary: RR 0.8 s, PR 0.16 s.
func steady() Params {
	return Params{
		Breaths:    16,
		Sinus:      Sinus{Rate: 75},
		Atria:      0.25,
		Node:       Node{Refractory: 0.30, Decrement: 0.03, Tau: 0.10}.AtRate(0.16, 75),
		Ventricles: Ventricles{QTc: 0.41},
		Pump:       Pump{RestRate: 75, Strength: 1, Systolic: 115, Diastolic: 70, Transit: 0.24},
	}
}

// at is steady with another sinus rate, the node following.
func at(rate, pr float64) Params {
	p := steady()
	p.Sinus.Rate = rate
	p.Node.Refractory = 0.36 * 60 / rate
	p.Node = p.Node.AtRate(pr, rate)
	return p
}

// beat lets the heart beat from 0 until the given time (s).
func beat(t *testing.T, p Params, seed uint64, until float64) []Activation {
	t.Helper()
	h, err := New(p, 0, rand.New(rand.NewPCG(seed, 0)))
	require.NoError(t, err)
	var out []Activation
	for {
		a := h.Next(until)
		if a == nil {
			return out
		}
		out = append(out, *a)
	}
}

func of(all []Activation, chamber Chamber) []Activation {
	var out []Activation
	for _, a := range all {
		if a.Chamber == chamber {
			out = append(out, a)
		}
	}
	return out
}

func origins(all []Activation) map[ecg.Origin]int {
	n := map[ecg.Origin]int{}
	for _, a := range all {
		n[a.Origin]++
	}
	return n
}

// lines writes activations so that they can be compared, NaN included.
func lines(all []Activation) []string {
	out := make([]string, len(all))
	for i, a := range all {
		out[i] = fmt.Sprintf("%+v", a)
	}
	return out
}
