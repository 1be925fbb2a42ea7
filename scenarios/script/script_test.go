package script

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scenarios/strict"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

func example(t *testing.T) []byte {
	t.Helper()
	src, err := os.ReadFile("testdata/whole.yaml")
	require.NoError(t, err)
	return src
}

func TestLoad(t *testing.T) {
	s, err := Load("whole.yaml", example(t))
	require.NoError(t, err)
	assert.Equal(t, ecg.Years(6), s.Patient.Age.Exact())
	assert.Equal(t, 21.0, s.Patient.Weight)
	first := s.Episodes[0]
	assert.Equal(t, Numbers{98, 96, 58, 20}, first.Numbers)
	assert.Equal(t, []Branch{{Did: "reattach", To: "mended"}, {Looked: LookPatient, To: "seen"}, {Silenced: 20, To: "arrest"}, {Time: 90, To: "unseen"}}, first.Next)
	assert.Equal(t, []lesson.Action{lesson.Reattach, lesson.Settle}, append([]lesson.Action{first.Care(ecg.Years(6)).First}, first.Care(ecg.Years(6)).Also...))
	assert.Equal(t, lesson.Compress, s.Episodes[3].Care(ecg.Years(6)).First)
	assert.Equal(t, fmt.Sprintf("%d/sinus-rhythm/6y/5;artifact=disconnected-lead:LL;line=arterial", ecg.Engine), s.Identity(first, 5).String())
}

// Every fault at once, in the order of the file, each at its place with the nearest
// word.
func TestFaultsNameTheirPlace(t *testing.T) {
	src := string(example(t))
	for _, change := range [][2]string{
		{"title: A flat", "titel: A flat"},
		{"weight: 21", "weight: heavy"},
		{"rhythm: asystole", "rhythm: asistole"},
		{"{time: 60, to: unseen}\n  - name: mended", "{time: 60, did: settle, to: unseen}\n  - name: mended"},
		{"spo2: 98", "spo2: 198"},
		{"{did: reattach, to: mended}\n      - {time: 60", "{did: reattach, to: mendet}\n      - {time: 60"},
		{"right: The patient who breathes", "right: The patient who breathe"},
	} {
		require.Contains(t, src, change[0])
		src = strings.Replace(src, change[0], change[1], 1)
	}
	_, err := Load("ward.yaml", []byte(src))
	assert.EqualError(t, err, strings.Join([]string{
		`ward.yaml:2:1: the file lacks title (How it is listed. It must not give the answer away.)`,
		`ward.yaml:3:1: the file knows no "titel"; did you mean title?`,
		`ward.yaml:5:28: weight: want a number`,
		`ward.yaml:20:21: spo2 is 198; want 30 to 100`,
		`ward.yaml:36:25: there is no episode "mendet"; did you mean mended?`,
		`ward.yaml:37:10: next, item 2: want exactly one of time, looked, did, silenced-only; there is time and did`,
		`ward.yaml:43:13: rhythm: there is no "asistole"; did you mean asystole?`,
		`ward.yaml:59:5: there is no answer "The patient who breathe"; did you mean The patient who breathes?`,
	}, "\n"))
}

// What one value has to do with another.
func TestMeaning(t *testing.T) {
	for _, tt := range []struct{ from, to, says string }{
		{"to: mended}\n      - {looked", "to: mendet}\n      - {looked", `there is no episode "mendet"; did you mean mended?`},
		{"name: seen\n", "name: flat\n", `the name "flat" is taken by episode 1`},
		{"{silenced-only: 20, to: arrest}", "{silenced-only: 20, to: unseen}", `nothing leads to the episode "arrest"`},
		{"silenced-only: 20", "silenced-only: 90", "can never come true: after 90 s"},
		{"{looked: patient, to: seen}", "{looked: patient, to: seen}\n      - {looked: patient, to: mended}", "can never come true: a branch above comes first"},
		{"{looked: patient, to: seen}", "{looked: patient, to: seen}\n      - {did: silence, to: mended}", "silencing leads away at once"},
		{"arterial: true", "arterial: false", "there is no arterial line"},
		{"      - {time: 90, to: unseen}\n", "", "could wait for ever"},
		{"{time: 60, to: unseen}\n  - name: mended", "{time: 60, to: seen}\n  - name: mended", `time alone leads from "seen" back to it`},
		{"{time: 90, to: unseen}", "{time: 90, to: flat}", `time alone leads from "flat" back to it`},
		{"place: LL", "place: LX", `there is no place "LX"`},
		{"    artifact: disconnected-lead\n", "", "is the place of an artifact"},
		{"diastolic: 58", "diastolic: 96", "diastolic 96 is not below systolic 96"},
		{"do: [reattach, settle]", "do: [reattach, silence]", "silencing is never what is expected"},
		{"rhythm: asystole\n    state: no-signs-of-life", "rhythm: asystole\n    state: stable", "asystole is not met in this state; it is in no-signs-of-life"},
		{"right: The patient who breathes", "right: The patient who breathe", `did you mean The patient who breathes`},
		{"rhythm: sinus-rhythm\n    artifact", "rhythm: st-elevation\n    artifact", ""},
	} {
		src := string(example(t))
		require.Contains(t, src, tt.from)
		_, err := Load("x.yaml", []byte(strings.Replace(src, tt.from, tt.to, 1)))
		if tt.says == "" {
			assert.NoError(t, err)
			continue
		}
		if assert.Error(t, err, tt.to) {
			assert.Contains(t, err.Error(), tt.says)
			assert.NotContains(t, err.Error(), ":1:1:", "it names a place: %v", err)
		}
	}
}

// A mutant is a file spoilt in one place, or changed in one that still holds.
type mutant struct {
	what string
	src  []byte
}

// mutants changes every value and key of a file in many ways.
func mutants(t *testing.T, src []byte) []mutant {
	t.Helper()
	var out []mutant
	var tree any
	require.NoError(t, yaml.Unmarshal(src, &tree))
	add := func(format string, args ...any) {
		text, err := yaml.Marshal(tree)
		require.NoError(t, err)
		out = append(out, mutant{fmt.Sprintf(format, args...), text})
	}
	others := []any{"word", "", "sinus-rhythm", "Stable", strings.Repeat("long ", 80), 0, 1, 2.0, 2.5, -1, 1e6, true, nil, []any{}, []any{"a", "b"}, map[string]any{}, map[string]any{"a": 1}}
	var walk func(where string, v any, set func(any))
	walk = func(where string, v any, set func(any)) {
		for _, o := range others {
			set(o)
			add("%s becomes %.20v (%T)", where, o, o)
			set(v)
		}
		switch x := v.(type) {
		case map[string]any:
			for _, key := range slices.Sorted(mapKeys(x)) {
				old := x[key]
				delete(x, key)
				add("%s.%s is gone", where, key)
				x[key+"s"] = old
				add("%s.%s gets another name", where, key)
				delete(x, key+"s")
				x[key] = old
				walk(where+"."+key, old, func(n any) { x[key] = n })
			}
			x["colour"] = "red"
			add("%s gets a key nobody knows", where)
			delete(x, "colour")
		case []any:
			for i := range x {
				walk(fmt.Sprintf("%s[%d]", where, i), x[i], func(n any) { x[i] = n })
			}
			many := slices.Clone(x)
			for len(many) < 25 {
				many = append(many, x[0])
			}
			set(many)
			add("%s becomes 25 entries", where)
			set(v)
		}
	}
	walk("", tree, func(n any) { tree = n })
	return out
}

func mapKeys(m map[string]any) func(func(string) bool) {
	return func(yield func(string) bool) {
		for k := range m {
			if !yield(k) {
				return
			}
		}
	}
}

func compiled(t *testing.T) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(Schema()))
	require.NoError(t, err)
	c := jsonschema.NewCompiler()
	require.NoError(t, c.AddResource("scenario.json", doc))
	s, err := c.Compile("scenario.json") // holds it to the draft's own schema as well
	require.NoError(t, err)
	return s
}

// By the schema, as a validator of another hand reads it (santhosh-tekuri/jsonschema, which
// passes the standard's own test suite), and by the loader the same files are in
// order: 200 drawn from all mutants of the whole file, and then every one of them.
// What only the loader can know (meaning) is told apart and counted.
func TestSchemaAndLoaderAgree(t *testing.T) {
	schema := compiled(t)
	all := mutants(t, example(t))
	rng := rand.New(rand.NewPCG(7, 0))
	rng.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
	agreed, accepted, meant := 0, 0, 0
	if testing.Short() {
		all = all[:len(all)/5]
	}
	for _, m := range all {
		var v any
		require.NoError(t, yaml.Unmarshal(m.src, &v))
		plain, err := json.Marshal(v)
		require.NoError(t, err)
		doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(plain))
		require.NoError(t, err)
		bySchema := schema.Validate(doc)
		_, byLoader := Load("mutant.yaml", m.src)
		if bySchema == nil && byLoader != nil && onlyMeaning(m.src) {
			meant++
			continue
		}
		require.Equal(t, bySchema == nil, byLoader == nil, "%s\nschema: %v\nloader: %v\n%s", m.what, bySchema, byLoader, m.src)
		agreed++
		if byLoader == nil {
			accepted++
		}
	}
	t.Logf("%d mutants agree, %d of them in order; %d more are refused for their meaning", agreed, accepted, meant)
	assert.GreaterOrEqual(t, agreed, 200)
	assert.GreaterOrEqual(t, accepted, len(all)/43, "files in order are among them")
	assert.GreaterOrEqual(t, agreed-accepted, 100, "and spoilt ones")
	assert.Less(t, meant, len(all)/10, "the schema says most of it")
}

// onlyMeaning reports whether every value of a file is in order by itself.
func onlyMeaning(src []byte) bool {
	_, faults := strict.Read("", src, new(Scenario), lists())
	return len(faults) == 0
}

// The schema describes every key in words, for the editor's help.
func TestSchemaExplainsEveryKey(t *testing.T) {
	var walk func(where string, v map[string]any)
	walk = func(where string, v map[string]any) {
		if items, ok := v["items"].(map[string]any); ok {
			walk(where+"[]", items)
		}
		properties, _ := v["properties"].(map[string]any)
		for key, p := range properties {
			assert.NotEmpty(t, p.(map[string]any)["description"], "%s.%s", where, key)
			walk(where+"."+key, p.(map[string]any))
		}
	}
	var top map[string]any
	require.NoError(t, json.Unmarshal(Schema(), &top))
	assert.Equal(t, "https://json-schema.org/draft/2020-12/schema", top["$schema"])
	walk("", top)
}
