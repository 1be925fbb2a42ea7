package synth

import (
	"maps"
	"slices"
	"strings"
	"unicode"

	"telltrace/synth/lesson"
	"telltrace/synth/near"
)

// said are the abbreviations and short names the trade uses beside the catalogue's own
// (common practice), written without spaces, hyphens and dots. A name that means more
// than one entry is left out: nobody guesses.
var said = map[string]string{
	"sr": "sinus-rhythm", "nsr": "sinus-rhythm", "normal": "sinus-rhythm", "normalsinusrhythm": "sinus-rhythm",
	"sb": "sinus-bradycardia", "sinusbrady": "sinus-bradycardia", "st": "sinus-tachycardia", "sinustach": "sinus-tachycardia",
	"sinustachy": "sinus-tachycardia", "sinusarrhythmia": "respiratory-sinus-arrhythmia", "rsa": "respiratory-sinus-arrhythmia",
	"sinusarrest": "sinus-pause", "pause": "sinus-pause",
	"pac": "premature-atrial-beats", "pacs": "premature-atrial-beats", "apc": "premature-atrial-beats", "apb": "premature-atrial-beats",
	"svt": "supraventricular-tachycardia", "psvt": "supraventricular-tachycardia", "avrt": "supraventricular-tachycardia",
	"avnrt": "supraventricular-tachycardia", "at": "atrial-tachycardia", "atach": "atrial-tachycardia", "eat": "atrial-tachycardia",
	"af": "atrial-fibrillation", "afib": "atrial-fibrillation", "afl": "atrial-flutter", "aflutter": "atrial-flutter", "flutter": "atrial-flutter",
	"mat": "multifocal-atrial-tachycardia", "wap": "wandering-atrial-pacemaker", "pjc": "premature-junctional-beats",
	"jet": "junctional-ectopic-tachycardia", "nodalrhythm": "junctional-rhythm",
	"avb1": "first-degree-av-block", "firstdegree": "first-degree-av-block", "1stdegree": "first-degree-av-block", "1stdegreeavblock": "first-degree-av-block",
	"wenckebach": "second-degree-av-block-type-1", "mobitz1": "second-degree-av-block-type-1", "mobitzi": "second-degree-av-block-type-1",
	"mobitz2": "second-degree-av-block-type-2", "mobitzii": "second-degree-av-block-type-2", "2:1": "two-to-one-av-block", "2:1block": "two-to-one-av-block",
	"2:1avblock": "two-to-one-av-block", "chb": "third-degree-av-block", "completeheartblock": "third-degree-av-block",
	"avb3": "third-degree-av-block", "thirddegree": "third-degree-av-block", "3rddegree": "third-degree-av-block", "3rddegreeavblock": "third-degree-av-block",
	"rbbb": "right-bundle-branch-block", "lbbb": "left-bundle-branch-block", "wpw": "pre-excitation", "deltawave": "pre-excitation",
	"pvc": "premature-ventricular-beats", "pvcs": "premature-ventricular-beats", "vpb": "premature-ventricular-beats", "veb": "premature-ventricular-beats",
	"bigeminy": "ventricular-bigeminy", "trigeminy": "ventricular-trigeminy", "couplets": "ventricular-couplets",
	"nsvt": "ventricular-run", "salvo": "ventricular-run", "aivr": "accelerated-idioventricular-rhythm", "ivr": "idioventricular-rhythm",
	"vt": "monomorphic-ventricular-tachycardia", "vtach": "monomorphic-ventricular-tachycardia", "ventriculartachycardia": "monomorphic-ventricular-tachycardia",
	"pmvt": "polymorphic-ventricular-tachycardia", "polymorphicvt": "polymorphic-ventricular-tachycardia", "tdp": "torsades-de-pointes", "torsades": "torsades-de-pointes",
	"vf": "coarse-ventricular-fibrillation", "vfib": "coarse-ventricular-fibrillation", "ventricularfibrillation": "coarse-ventricular-fibrillation",
	"coarsevf": "coarse-ventricular-fibrillation", "finevf": "fine-ventricular-fibrillation",
	"standstill": "p-wave-asystole", "ventricularstandstill": "p-wave-asystole", "flatline": "asystole", "agonal": "agonal-rhythm", "pea": "pulseless-electrical-activity",
	"emd": "pulseless-electrical-activity", "ddd": "dual-chamber-pacing", "aai": "atrial-pacing", "vvi": "ventricular-pacing",
	"lossofcapture": "failure-to-capture", "undersensing": "failure-to-sense", "sinewave": "hyperkalaemic-sine-wave",
	"peakedt": "peaked-t-waves", "tentedt": "peaked-t-waves", "twaveinversion": "inverted-t-waves", "lqts": "long-qt", "longqt": "long-qt",
	"leadoff": "disconnected-lead", "leadsoff": "disconnected-lead", "artifact": "movement", "artefact": "movement", "cpr": "compressions",
	"60hz": "mains-hum", "50hz": "mains-hum", "acinterference": "mains-hum", "wander": "baseline-wander",
}

// Said finds the entry that words mean: an id, a name, or an abbreviation of the trade,
// in any case, with or without spaces, hyphens and dots; false when they mean none, or
// more than one.
func Said(words string) (id string, ok bool) {
	plain := squeeze(words)
	if plain == "" {
		return "", false
	}
	for _, l := range Lessons() {
		if plain == squeeze(l.ID) || plain == squeeze(l.Name) || plain == squeeze(strings.TrimPrefix(l.Name, "a ")) {
			return l.ID, true
		}
	}
	id, ok = said[plain]
	return id, ok
}

// squeeze keeps what counts of words: letters, digits and the colon of a ratio.
func squeeze(words string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) || r == ':' {
			return unicode.ToLower(r)
		}
		return -1
	}, words)
}

// Meant finds the entry that words mean, or else the one whose name, id or abbreviation
// is nearest; false when none is near.
func Meant(words string) (id string, ok bool) {
	if id, ok := Said(words); ok {
		return id, true
	}
	var all []string
	of := map[string]string{}
	add := func(name, id string) {
		if name = squeeze(name); of[name] == "" {
			of[name] = id
			all = append(all, name)
		}
	}
	for _, l := range Lessons() {
		add(l.ID, l.ID)
		add(l.Name, l.ID)
	}
	for _, name := range slices.Sorted(maps.Keys(said)) {
		add(name, said[name])
	}
	name, ok := near.Word(squeeze(words), all)
	return of[name], ok
}

// meant suggests an entry for a word that is none: by the words of the trade first.
func meant(word string, among []lesson.Lesson) (string, bool) {
	id, ok := Said(word)
	return id, ok && slices.ContainsFunc(among, func(l lesson.Lesson) bool { return l.ID == id })
}
