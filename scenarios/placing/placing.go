// Package placing is the exercise in putting electrodes on and finding what is wrong with
// them. Sites on the trunk have the potentials of the heart's model there; the leads follow
// from which clip sits at which site, so that every mistake shows as it would.
package placing

import (
	"telltrace/synth"
	"telltrace/synth/dipole"
	"telltrace/synth/ecg"
)

// A Code is one of the two colour codes of electrode cables.
type Code string

// The codes, by their letters: AHA/AAMI and IEC.
const (
	AAMI Code = "AAMI"
	IEC  Code = "IEC"
)

// clips are letters and colour by code (tables of three monitor manuals, read).
var clips = map[Code]map[ecg.Electrode][2]string{
	AAMI: {ecg.RA: {"RA", "white"}, ecg.LA: {"LA", "black"}, ecg.LL: {"LL", "red"}, ecg.RL: {"RL", "green"}, ecg.V: {"V", "brown"}},
	IEC:  {ecg.RA: {"R", "red"}, ecg.LA: {"L", "yellow"}, ecg.LL: {"F", "green"}, ecg.RL: {"N", "black"}, ecg.V: {"C", "white"}},
}

// Letters are on the clip.
func (c Code) Letters(e ecg.Electrode) string { return clips[c][e][0] }

// Colour is the clip's, in a word.
func (c Code) Colour(e ecg.Electrode) string { return clips[c][e][1] }

// Clip is letters and colour.
func (c Code) Clip(e ecg.Electrode) string { return c.Letters(e) + " " + c.Colour(e) }

// A Site is a place on the trunk.
type Site int

// The sites; Off is a clip that is not on.
const (
	Off Site = iota
	RightShoulder
	LeftShoulder
	RightRibs
	LeftRibs
	PlaceV1
	PlaceV5
)

// Sites lists the sites, without Off.
var Sites = []Site{RightShoulder, LeftShoulder, RightRibs, LeftRibs, PlaceV1, PlaceV5}

// Words names the site by the patient's own sides.
func (s Site) Words() string {
	return [...]string{
		"not on", "right shoulder", "left shoulder", "right lower ribs", "left lower ribs",
		"4th space, right of the breastbone", "5th space, left, below the armpit",
	}[s]
}

// Placement is where each clip sits. A clip that is not in it is not on.
type Placement map[ecg.Electrode]Site

// Right is where the clips of a cable belong, the chest one for V1.
func Right(cable []ecg.Electrode) Placement {
	all := Placement{ecg.RA: RightShoulder, ecg.LA: LeftShoulder, ecg.LL: LeftRibs, ecg.RL: RightRibs, ecg.V: PlaceV1}
	p := Placement{}
	for _, e := range cable {
		p[e] = all[e]
	}
	return p
}

// The cables.
var (
	Three = []ecg.Electrode{ecg.RA, ecg.LA, ecg.LL}
	Five  = []ecg.Electrode{ecg.RA, ecg.LA, ecg.LL, ecg.RL, ecg.V}
)

// Leads are those a cable gives.
func Leads(cable []ecg.Electrode) []ecg.Lead {
	if len(cable) == len(Three) {
		return []ecg.Lead{ecg.I, ecg.II, ecg.III}
	}
	return []ecg.Lead{ecg.I, ecg.II, ecg.III, ecg.V1}
}

// weights is the potential of a site by the leads I, II and V1 of clips on the limbs. RL lies
// at the potential of LL, as is usual for both legs (synth/artifact says the same).
func (s Site) weights() [3]float64 {
	trunk := dipole.OnTrunk(ecg.V1)
	switch s {
	case RightShoulder:
		return trunk[0]
	case LeftShoulder:
		return trunk[1]
	case LeftRibs, RightRibs:
		return trunk[2]
	case PlaceV1:
		return trunk[3]
	case PlaceV5:
		return dipole.OnTrunk(ecg.V5)[3]
	}
	return [3]float64{}
}

// Trace is ten seconds of a patient's leads as the clips sit. id is the patient with clips
// on the limbs and nothing wrong; its artifact, place and leads are of no effect. A lead
// whose clip is not on is a straight line, and so are all when a cable with a reference has
// it off.
func Trace(id ecg.Identity, cable []ecg.Electrode, at Placement) (ecg.Strip, ecg.Marks, error) {
	id.Artifact, id.Place, id.Trunk = "", "", false
	id.Leads = []ecg.Lead{ecg.I, ecg.II, ecg.V1}
	base, marks, err := synth.Render(id, seconds)
	if err != nil {
		return ecg.Strip{}, ecg.Marks{}, err
	}
	out := ecg.Strip{Rate: base.Rate, Leads: Leads(cable)}
	grounded := len(cable) == len(Three) || at[ecg.RL] != Off
	for _, lead := range out.Leads {
		row := make([]float64, len(base.MV[0]))
		out.MV = append(out.MV, row)
		of, _ := dipole.Weights(lead)
		var sum [3]float64
		on := grounded
		for e, share := range of {
			if share == 0 {
				continue
			}
			site := at[dipole.Electrodes[e]]
			on = on && site != Off
			for i, w := range site.weights() {
				sum[i] += share * w
			}
		}
		if !on {
			continue
		}
		for i := range row {
			row[i] = sum[0]*base.MV[0][i] + sum[1]*base.MV[1][i] + sum[2]*base.MV[2][i]
		}
	}
	return out, marks, nil
}

// seconds is how much of a strip the exercise shows, s.
const seconds = 10
