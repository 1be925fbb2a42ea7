// Package synth is the pipeline from a rhythm to a strip: heart (pacemakers,
// conduction, pump), dipole (shape), electrodes with their skin, artifact, leads,
// and the pulse at the finger. Open plays an identity without end, Render plays
// some seconds of it into memory; Lessons is the catalogue of what can be shown.
//
// The traces are synthetic, for training only: not for diagnosis or patient care.
package synth

import (
	"fmt"
	"slices"
	"strings"

	"telltrace/synth/artifact"
	"telltrace/synth/dipole"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/near"
	"telltrace/synth/rhythm"
)

// Lessons lists everything that can be shown and asked about, rhythms first.
func Lessons() []lesson.Lesson {
	all := rhythms()
	for _, k := range artifact.All() {
		all = append(all, k.Lesson)
	}
	return all
}

func rhythms() []lesson.Lesson {
	var all []lesson.Lesson
	for _, r := range rhythm.All() {
		all = append(all, r.Lesson)
	}
	return all
}

// Lesson finds an entry, rhythm or artifact.
func Lesson(id string) (lesson.Lesson, bool) {
	if r, ok := rhythm.ByID(id); ok {
		return r.Lesson, true
	}
	k, ok := artifact.ByID(id)
	return k.Lesson, ok
}

// OccursAt reports whether an entry is shown at an age.
func OccursAt(id string, age ecg.Age) bool {
	r, ok := rhythm.ByID(id)
	return !ok || r.Ages == nil || r.Ages(age)
}

// FindLesson is Lesson with an error that suggests the nearest id.
func FindLesson(id string) (lesson.Lesson, error) {
	if l, ok := Lesson(id); ok {
		return l, nil
	}
	return lesson.Lesson{}, unknown("rhythm or artifact", id, Lessons())
}

func unknown(what, id string, among []lesson.Lesson) error {
	ids := make([]string, len(among))
	for i, l := range among {
		ids[i] = l.ID
	}
	best, ok := meant(id, among)
	if !ok {
		best, ok = near.Word(id, ids)
	}
	if ok {
		return fmt.Errorf("unknown %s %q; did you mean %q?", what, id, best)
	}
	return fmt.Errorf("unknown %s %q; telltrace rhythms lists them", what, id)
}

// Check says whether a synthetic identity can be played.
func Check(id ecg.Identity) error {
	if id.Recording != "" {
		return fmt.Errorf("%s is a recording, not a synthetic strip", id.Recording)
	}
	if id.Engine != ecg.Engine {
		return fmt.Errorf("strip %s was made by engine version %d, this program has version %d and cannot repeat it", id, id.Engine, ecg.Engine)
	}
	if _, ok := rhythm.ByID(id.Rhythm); !ok {
		if _, isArtifact := artifact.ByID(id.Rhythm); isArtifact {
			return fmt.Errorf("%q is an artifact: lay it over a rhythm, as in --artifact %s", id.Rhythm, id.Rhythm)
		}
		return unknown("rhythm", id.Rhythm, rhythms())
	}
	kind, ok := artifact.ByID(id.Artifact)
	if !ok && id.Artifact != "" {
		var all []lesson.Lesson
		for _, k := range artifact.All() {
			all = append(all, k.Lesson)
		}
		return unknown("artifact", id.Artifact, all)
	}
	if places := kind.Places(); id.Place != "" && !slices.Contains(places, id.Place) {
		if len(places) == 0 {
			return fmt.Errorf("%s has no place: leave %q out", kind.ID, id.Place)
		}
		return fmt.Errorf("%s at %q: its places are %s", kind.ID, id.Place, strings.Join(places, ", "))
	}
	for _, step := range id.Then {
		if _, ok := rhythm.ByID(step.Rhythm); !ok {
			return unknown("rhythm", step.Rhythm, rhythms())
		}
	}
	var chest ecg.Lead
	for _, l := range id.Leads {
		if dipole.Chest(l) {
			if chest != "" {
				return fmt.Errorf("leads %s and %s at once need two chest electrodes; there is one", chest, l)
			}
			chest = l
		}
		if _, ok := dipole.Weights(l); !ok {
			return fmt.Errorf("lead %q cannot be made; known are I, II, III, aVR, aVL, aVF, V1 to V6 and V8", l)
		}
	}
	if len(id.Leads) == 0 {
		return fmt.Errorf("no lead is asked for; known are I, II, III, aVR, aVL, aVF, V1")
	}
	if id.Rate < 100 || id.Rate > 2000 {
		return fmt.Errorf("sampling rate %d Hz: allowed is 100 to 2000", id.Rate)
	}
	return nil
}
