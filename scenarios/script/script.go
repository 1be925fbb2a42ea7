// Package script is the file form of a scenario: a patient, episodes that follow from
// what the learner does, findings that stay hidden until looked at, questions, and
// what is expected. Start with Scenario; Load reads one and names every fault at its
// place, Schema describes the same form to an editor. Both go by the tags of the types
// below (scenarios/strict), so they cannot part.
package script

import (
	"slices"

	"telltrace/scenarios/strict"
	"telltrace/synth"
	"telltrace/synth/artifact"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/rhythm"
)

// A Scenario is one patient's story.
type Scenario struct {
	Name      Name       `yaml:"name" want:"required; like [a-z][a-z0-9]*(-[a-z0-9]+)*" doc:"Names the scenario in commands and in the answers kept; for one of the library the name of its file."`
	Title     string     `yaml:"title" want:"required; 3..60" doc:"How it is listed. It must not give the answer away."`
	Teaches   string     `yaml:"teaches" want:"required; 10..300" doc:"What is to be learned, said afterwards."`
	Patient   Patient    `yaml:"patient" want:"required" doc:"Who lies in the bed. Invented."`
	Arterial  bool       `yaml:"arterial" doc:"An arterial line is in: its pressure can be looked at."`
	Episodes  []Episode  `yaml:"episodes" want:"required" items:"1..20" doc:"What happens; the first one begins."`
	Questions []Question `yaml:"questions" items:"..5" doc:"Asked when it is over, before the debrief."`
}

// A Patient is who lies in the bed.
type Patient struct {
	Age      Age     `yaml:"age" want:"required; like [0-9]{1,4}d|[0-9]{1,3}mo|([0-9]{1,2}|1[01][0-9]|120)y" doc:"Exact age in days, months or years: 10d, 4mo, 6y."`
	Weight   float64 `yaml:"weight" want:"required; 0.4..250" doc:"Weight, kg."`
	Sentence string  `yaml:"sentence" want:"required; 5..100" doc:"One sentence that is on the page from the start."`
}

// An Episode is how things stand for a while.
type Episode struct {
	Name     Name      `yaml:"name" want:"required; like [a-z][a-z0-9]*(-[a-z0-9]+)*" doc:"Names the episode, for branches that lead to it."`
	Rhythm   string    `yaml:"rhythm" want:"required; of rhythms" doc:"What the heart does: an id of the catalogue."`
	Artifact string    `yaml:"artifact" want:"of artifacts" doc:"What lies over the tracing."`
	Place    string    `yaml:"place" want:"1..20" doc:"Where the artifact sits: letters of electrodes such as LA or RA-LL, or a word of its own."`
	State    ecg.State `yaml:"state" want:"required; of states" doc:"How the patient is."`
	Alarm    Alarm     `yaml:"alarm" want:"of alarms" doc:"What the alarm says, when one sounds as the episode begins."`
	Tells    string    `yaml:"tells" want:"5..120" doc:"What is told as the episode begins, without being looked for."`
	Look     Findings  `yaml:"look" doc:"What looking shows. What is left out follows from rhythm, artifact, state and age."`
	Numbers  Numbers   `yaml:"numbers" doc:"Vital signs. What is left out follows from rhythm, state and age."`
	Expect   Expect    `yaml:"expect" doc:"What is to be done. Left out, it is what the catalogue teaches for this patient's state and age."`
	Next     []Branch  `yaml:"next" items:"1..12" one:"course" doc:"What leads on, the first that comes true."`
	Outcome  string    `yaml:"outcome" want:"5..160" one:"course" doc:"The scenario ends here: how it came out."`
}

// Findings are what looking shows, one line each.
type Findings struct {
	Patient    string `yaml:"patient" want:"5..69" doc:"Colour, movement, breathing, response."`
	Pulse      string `yaml:"pulse" want:"5..69" doc:"A central pulse, felt for ten seconds at most."`
	Line       string `yaml:"arterial-line" want:"5..69" doc:"The pressure trace."`
	Electrodes string `yaml:"electrodes" want:"5..69" doc:"Electrodes, cable, connections."`
}

// Numbers are vital signs; 0 where the file leaves one out.
type Numbers struct {
	SpO2      int `yaml:"spo2" want:"30..100" doc:"Saturation, %."`
	Systolic  int `yaml:"systolic" want:"20..260" doc:"Last cuff reading, mmHg."`
	Diastolic int `yaml:"diastolic" want:"10..160" doc:"Last cuff reading, mmHg."`
	Breaths   int `yaml:"breaths" want:"4..120" doc:"Breaths a minute."`
}

// Expect is what is to be done in an episode.
type Expect struct {
	Do     []lesson.Action `yaml:"do" want:"of acts" items:"1..4" doc:"The right first actions, the best first."`
	Within float64         `yaml:"within" want:"5..600" doc:"How soon, in seconds from the beginning of the episode."`
	Why    string          `yaml:"why" want:"10..300" doc:"The reason, said afterwards beside that of the catalogue."`
}

// A Branch leads to another episode when something comes true.
type Branch struct {
	Time     float64       `yaml:"time" want:"1..900" one:"when" doc:"So many seconds have passed in this episode."`
	Looked   Look          `yaml:"looked" want:"of looks" one:"when" doc:"This was looked at."`
	Did      lesson.Action `yaml:"did" want:"of acts" one:"when" doc:"This was done."`
	Silenced float64       `yaml:"silenced-only" want:"1..300" one:"when" doc:"The alarm was silenced, and for so many seconds nothing else was done or looked at."`
	To       Name          `yaml:"to" want:"required; like [a-z][a-z0-9]*(-[a-z0-9]+)*" doc:"The episode that follows."`
}

// A Question is asked when all is over.
type Question struct {
	Ask     string   `yaml:"ask" want:"required; 5..120" doc:"The question."`
	Answers []string `yaml:"answers" want:"required" items:"2..5" doc:"What can be answered."`
	Right   string   `yaml:"right" want:"required; 1..120" doc:"The right one of the answers, word by word."`
	Why     string   `yaml:"why" want:"required; 10..300" doc:"The reason."`
}

// A Name is in lower case with hyphens.
type Name string

// An Age is an exact age as it is written, up to ecg.MaxAgeYears.
type Age string

// Exact is the age as the engine has it.
func (a Age) Exact() ecg.Age {
	exact, _ := ecg.ParseAge(string(a)) // its form was checked
	return exact
}

// A Look is what can be looked at.
type Look string

// What can be looked at.
const (
	LookPatient    Look = "patient"
	LookPulse      Look = "pulse"
	LookLine       Look = "arterial-line"
	LookElectrodes Look = "electrodes"
)

// Looks lists what can be looked at.
var Looks = []Look{LookPatient, LookPulse, LookLine, LookElectrodes}

// An Alarm is what an alarm says.
type Alarm string

// The alarms.
const (
	AlarmLow         Alarm = "low-rate"
	AlarmHigh        Alarm = "high-rate"
	AlarmNoBeats     Alarm = "no-beats"
	AlarmVentricular Alarm = "ventricular-run"
	AlarmFibrillates Alarm = "fibrillation"
	AlarmSaturation  Alarm = "low-saturation"
	AlarmPressure    Alarm = "low-pressure"
	AlarmElectrode   Alarm = "electrode-off"
	AlarmNoPulse     Alarm = "no-pulse-wave"
)

// Alarms lists the alarms.
var Alarms = []Alarm{AlarmLow, AlarmHigh, AlarmNoBeats, AlarmVentricular, AlarmFibrillates, AlarmSaturation, AlarmPressure, AlarmElectrode, AlarmNoPulse}

// Acts lists what can be done at the bedside, the most pressing first. Looking and
// calling in doubt is not one of them: here it is done by looking, and by calling.
func Acts() []lesson.Action {
	return slices.DeleteFunc(lesson.Actions(), func(a lesson.Action) bool { return a == lesson.LookCall })
}

// lists are the words that the tags speak of.
func lists() strict.Words {
	var rhythms, artifacts []string
	for _, r := range rhythm.All() {
		rhythms = append(rhythms, r.ID)
	}
	for _, k := range artifact.All() {
		artifacts = append(artifacts, k.ID)
	}
	return strict.Words{"rhythms": rhythms, "artifacts": artifacts, "states": wordsOf(ecg.States),
		"acts": wordsOf(Acts()), "looks": wordsOf(Looks), "alarms": wordsOf(Alarms)}
}

func wordsOf[T ~string](list []T) []string {
	words := make([]string, len(list))
	for i, w := range list {
		words[i] = string(w)
	}
	return words
}

// Subject is what an episode's tracing is about: the artifact where there is one.
func (e Episode) Subject() string {
	if e.Artifact != "" {
		return e.Artifact
	}
	return e.Rhythm
}

// Ends reports whether the scenario ends with this episode.
func (e Episode) Ends() bool { return e.Outcome != "" }

// Care is what is taught for an episode at an age. Where the file expects something
// of its own, that takes the place of the first actions. A patient who is not well
// comes before the artifact: then the rhythm decides.
func (e Episode) Care(age ecg.Age) lesson.Care {
	subject := e.Subject()
	if e.State != ecg.Stable {
		subject = e.Rhythm
	}
	l, _ := synth.Lesson(subject)
	c := l.Care(age, e.State)
	if len(e.Expect.Do) > 0 {
		c.First, c.Also = e.Expect.Do[0], e.Expect.Do[1:]
	}
	return c
}

// Identity is the plain strip of an episode.
func (s *Scenario) Identity(e Episode, seed uint64) ecg.Identity {
	id := ecg.Synthetic(e.Rhythm, s.Patient.Age.Exact(), seed)
	id.Artifact, id.Place, id.State, id.Arterial = e.Artifact, e.Place, e.State, s.Arterial
	return id
}
