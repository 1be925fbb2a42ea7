package record

import (
	"fmt"
	"slices"
	"strings"

	"telltrace/synth/ecg"
)

// voltsIn are the units that make a channel a lead, with the factor to mV. Keys
// are in lower case; both micro signs (U+00B5, U+03BC) occur.
var voltsIn = map[string]float64{
	"mv": 1, "uv": 1e-3, "\u00b5v": 1e-3, "\u03bcv": 1e-3, "nv": 1e-6, "v": 1e3,
}

// notECG are the first words of names of channels that are no ECG lead even when
// they are measured in volts: the signal types of the EDF+ specification (2003)
// other than ECG, and the pressure, pulse and breathing channels of the WFDB data
// sets MIMIC and CinC Challenge 2015.
var notECG = []string{
	"PLETH", "PLETHL", "PLETHR", "PPG", "ABP", "ART", "BP", "PAP", "CVP", "ICP", "UAP", "UVP", "RAP", "LAP",
	"RESP", "IMP", "CO2", "ETCO2", "SPO2", "SAO2", "HR", "PULSE", "TEMP", "FLOW", "SOUND", "EVENT", "LIGHT",
	"EEG", "EOG", "ERG", "EMG", "MEG", "MCG", "EP", "EDF",
}

// describe decides what a channel is from its name and unit in the file, and
// returns the factor by which its values are to be multiplied.
func describe(name, unit string, index int) (c Channel, factor float64) {
	if name == "" {
		name = fmt.Sprintf("signal %d", index)
	}
	c = Channel{Name: name, Unit: unit}
	if slices.Contains(notECG, firstWord(name)) {
		if known := strings.ToUpper(name); slices.Contains(notECG, known) {
			c.Name = known
		}
	} else if factor, ok := voltsIn[strings.ToLower(unit)]; ok {
		c.Name, c.Unit, c.Lead = leadName(name), "mV", true
		return c, factor
	}
	if strings.EqualFold(c.Unit, "NU") { // "no units"
		c.Unit = ""
	}
	return c, 1
}

// firstWord is the first word of a name in capitals, "" when it has none ("-").
func firstWord(name string) string {
	words := strings.FieldsFunc(name, func(r rune) bool { return r == ' ' || r == '_' || r == '-' })
	if len(words) == 0 {
		return ""
	}
	return strings.ToUpper(words[0])
}

// leadName writes a standard lead the standard way: "avr", "ECG II" and "Lead V1"
// become "aVR", "II" and "V1". Other names are kept.
func leadName(name string) string {
	short := name
	for _, prefix := range []string{"ECG ", "EKG ", "LEAD "} {
		if len(name) > len(prefix) && strings.EqualFold(name[:len(prefix)], prefix) {
			short = strings.TrimSpace(name[len(prefix):])
		}
	}
	for _, l := range ecg.Leads {
		if strings.EqualFold(short, string(l)) {
			return string(l)
		}
	}
	return name
}

// unused adds a number to a name that another channel has already.
func unused(name string, have []Channel) string {
	taken := func(n string) bool {
		return slices.ContainsFunc(have, func(c Channel) bool { return c.Name == n })
	}
	unique := name
	for k := 2; taken(unique); k++ {
		unique = fmt.Sprintf("%s (%d)", name, k)
	}
	return unique
}
