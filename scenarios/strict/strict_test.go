package strict

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

type example struct {
	Name    string         `yaml:"name" want:"required; like [a-z-]+" doc:"what it is called"`
	Seconds float64        `yaml:"seconds" want:"5..600"`
	Strips  int            `yaml:"strips" want:"1..200"`
	Tell    string         `yaml:"tell" want:"end|strip"`
	Show    map[string]int `yaml:"show" items:"1.." keys:"of lessons" want:"1..100"`
	Ages    []string       `yaml:"ages" items:"..3" want:"of ages"`
	Pause   bool           `yaml:"pause"`
	Pass    *pass          `yaml:"pass"`
	About   string         `yaml:"about" want:"..20"`
}

type pass struct {
	Right int `yaml:"right" want:"required; 1..100"`
}

var lists = Words{"lessons": {"asystole", "movement", "sinus-rhythm"}, "ages": {"newborn", "infant", "school", "adult"}}

const good = `name: first-drill
seconds: 30
strips: 20
tell: end
show: {asystole: 3, movement: 1}
ages: [newborn, adult]
pause: true
pass:
  right: 80
about: |
  two lines
  here
`

func TestRead(t *testing.T) {
	var e example
	_, faults := Read("d.yaml", []byte(good), &e, lists)
	require.Empty(t, faults)
	assert.Equal(t, example{"first-drill", 30, 20, "end", map[string]int{"asystole": 3, "movement": 1}, []string{"newborn", "adult"},
		true, &pass{80}, "two lines\nhere\n"}, e)
}

// All faults at once, each where it stands, with the word that was meant.
func TestFaults(t *testing.T) {
	const text = `seconds: 3
strips: many
tell: ends
show:
  asystol: 3
  movement: 0
ages: [newborn, adlut, infant, school]
pauses: true
pass: {rigth: 80}
about: this is far too long to be read
`
	var e example
	d, faults := Read("d.yaml", []byte(text), &e, lists)
	assert.Equal(t, strings.TrimSpace(`
d.yaml:1:1: the file lacks name (what it is called)
d.yaml:1:10: seconds is 3; want 5 to 600
d.yaml:2:9: strips: want a whole number
d.yaml:3:7: tell: there is no "ends"; did you mean end?
d.yaml:5:3: show: there is no "asystol"; did you mean asystole?
d.yaml:6:13: show, movement is 0; want 1 to 100
d.yaml:7:7: ages has 4 items; want at most 3
d.yaml:7:17: ages, item 2: there is no "adlut"; did you mean adult?
d.yaml:8:1: the file knows no "pauses"; did you mean pause?
d.yaml:9:8: pass knows no "rigth"; did you mean right?
d.yaml:9:8: pass lacks right
d.yaml:10:8: about has 31 letters; want at most 20`), faults.Error())
	assert.Equal(t, "d.yaml:6:3: too few", d.Fault("too few", "show", "movement").String())
	assert.Equal(t, "d.yaml:7:17: odd", d.Fault("odd", "ages", 1).String())
	assert.Equal(t, "d.yaml:9:1: no such thing", d.Fault("no such thing", "pass", "none").String())
}

func TestRefused(t *testing.T) {
	for text, want := range map[string]string{
		"":                        "the file is empty",
		"# only words\n":          "the file is empty",
		"name: a\n---\nname: b\n": "d.yaml:3:1: a second document",
		"- a\n- b\n":              "want names with values",
		"name: a\nname: b\n":      "d.yaml:2:1",
		"name: &x a\nabout: *x\n": "anchors, aliases and tags",
		"name: !!str a\n":         "anchors, aliases and tags",
		"name:\n":                 "name is empty",
		"name: 12\n":              "put it in quotes",
		"name: a\nseconds: .nan":  "seconds",
		"name: a\nseconds: 1e999": "seconds",
		"name: [a\n":              "d.yaml:1",
		"name: \"\xff\"":          "UTF-8",
		strings.Repeat("[", 5000): "nested too deeply",
		"name: a\nabout: " + strings.Repeat("x", most): "too many",
		"name: a\nshow: {}\n":                          "show has 0 items; want 1 or more",
		"name: a\npass: 3\n":                           "pass: want names with values",
		"name: A\n":                                    `"A" is not of the form [a-z-]+`,
	} {
		var e example
		_, faults := Read("d.yaml", []byte(text), &e, lists)
		assert.ErrorContains(t, faults, want, "%.40q", text)
	}
}

// The schema says what the tags say (json-schema.org, draft 2020-12: the keywords).
func TestSchema(t *testing.T) {
	text, err := json.Marshal(Schema("a drill", example{}, lists))
	require.NoError(t, err)
	for _, part := range []string{
		`"$schema":"https://json-schema.org/draft/2020-12/schema"`, `"required":["name"]`, `"additionalProperties":false`,
		`"name":{"description":"what it is called","pattern":"^(?:[a-z-]+)$","type":"string"}`,
		`"seconds":{"maximum":600,"minimum":5,"type":"number"}`, `"strips":{"maximum":200,"minimum":1,"type":"integer"}`,
		`"propertyNames":{"enum":["asystole","movement","sinus-rhythm"]}`, `"minProperties":1`, `"maxItems":3`, `"pause":{"type":"boolean"}`,
	} {
		assert.Contains(t, string(text), part)
	}
}

func FuzzRead(f *testing.F) {
	f.Add(good)
	f.Add("name: [a, {b: c}]\npass: {right: 1.5}")
	f.Fuzz(func(t *testing.T, text string) {
		var e example
		d, faults := Read("d.yaml", []byte(text), &e, lists)
		for _, fault := range faults {
			assert.True(t, fault.Line >= 1 && fault.Column >= 1, fmt.Sprint(fault))
		}
		d.Fault("anywhere", "show", 3, "x")
	})
}

// Exactly one of a group, by both; and 2.0 is whole (JSON Schema 2020-12, validation,
// 6.1.1).
func TestOneOfAGroup(t *testing.T) {
	type branch struct {
		Time int    `yaml:"time" one:"when"`
		Did  string `yaml:"did" one:"when"`
	}
	for text, want := range map[string]string{
		"time: 2.0": "", "did: x": "",
		"time: 2.5":         "d.yaml:1:7: time: want a whole number",
		"{}":                "d.yaml:1:1: the file: want exactly one of time, did; there is none",
		"time: 2\ndid: x\n": "d.yaml:1:1: the file: want exactly one of time, did; there is time and did",
	} {
		var b branch
		_, faults := Read("d.yaml", []byte(text), &b, nil)
		assert.Equal(t, want, faults.Error(), text)
	}
	got, err := json.Marshal(Schema("", branch{}, nil))
	require.NoError(t, err)
	assert.Contains(t, string(got), `"allOf":[{"oneOf":[{"required":["time"]},{"required":["did"]}]}]`)
}
