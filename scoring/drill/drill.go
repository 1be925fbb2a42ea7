// Package drill holds timed drills: what an educator writes in a file, which strips it
// gives whom, and who has passed. Six drills come with telltrace (library/*.yaml); an
// educator copies one and changes it.
//
// Start with Parse, Drill.Draw and Drill.Decide.
//
// Training only: a drill that was passed is no licence to practise. Local policy and the
// educator decide.
package drill

import (
	"crypto/sha256"
	"embed"
	"encoding/binary"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"
	"time"

	"telltrace/scenarios/strict"
	"telltrace/scoring/ledger"
	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/near"
	"telltrace/synth/norms"
)

// A Drill is what stands in a file.
type Drill struct {
	Name    string         `yaml:"drill" want:"required; like [a-z0-9]+(-[a-z0-9]+)*" doc:"its name, in small letters with hyphens"`
	Title   string         `yaml:"title" want:"required; 1..60" doc:"as it stands on the screen"`
	About   string         `yaml:"about" want:"1..300" doc:"what it is for, in a sentence"`
	Strips  int            `yaml:"strips" want:"required; 1..200" doc:"how many strips"`
	Seconds float64        `yaml:"seconds" want:"required; 5..600" doc:"time for each strip with all its questions, s"`
	Show    map[string]int `yaml:"show" want:"1..100" keys:"of lessons" items:"1.." doc:"rhythms and artifacts by their id, each with its weight"`
	Ages    []string       `yaml:"ages" want:"like (newborn|infant|toddler|preschool|school|adolescent|adult|[0-9]{1,3}(d|mo|y))" doc:"bands or ages; without them every age"`

	Severity Severity `yaml:"severity" doc:"how plain the strips are, in percent"`

	Ask   []string `yaml:"ask" want:"measure|rhythm|first-action" items:"1..3" doc:"the questions, in this order: rate, regularity, P, PR and QRS; the name; what is done first"`
	Tell  string   `yaml:"tell" want:"end|strip" doc:"when it is told what was right: at the end, or after each strip"`
	Pause bool     `yaml:"pause" doc:"whether the learner may pause between two strips"`

	Same    string `yaml:"strips-for" want:"everyone|each" doc:"the same strips for everyone, or others of the same plan for each"`
	Retakes int    `yaml:"retakes" want:"0..20" doc:"how often it may be taken again, each time with other strips"`

	Pass Pass `yaml:"pass" want:"required"`
}

// Severity is the plan of how plain strips are, in percent.
type Severity struct {
	Plain  int `yaml:"plain" want:"0..100"`
	Middle int `yaml:"middle" want:"0..100"`
	Subtle int `yaml:"subtle" want:"0..100"`
}

// Pass is the rule of passing.
type Pass struct {
	Right     float64            `yaml:"right" want:"required; 1..100" doc:"share of all answers that must be right, in percent"`
	Each      map[string]float64 `yaml:"each" want:"1..100" keys:"of lessons" doc:"what must not be missed: share of its strips that must be named right, in percent"`
	Dangerous int                `yaml:"dangerous" want:"0..50" doc:"how many dangerous answers are allowed"`
}

// Words of the fields.
const (
	TellStrip = "strip"
	ForEach   = "each"
	measure   = "measure"
)

// Measures reports whether the strip is read in order before it is named.
func (d Drill) Measures() bool { return slices.Contains(d.Ask, measure) }

// core are the questions that every strip has: the name, and what is done first.
func (d Drill) core() int {
	n := 1
	if slices.Contains(d.Ask, string(ledger.FirstAction)) {
		n++
	}
	return n
}

// isCore reports whether an answer is to one of those.
func isCore(a ledger.Answer) bool {
	return a.Question == ledger.Rhythm || a.Question == ledger.FirstAction
}

// words are the lists that the fields speak of.
func words() strict.Words {
	var ids []string
	for _, l := range synth.Lessons() {
		ids = append(ids, l.ID)
	}
	slices.Sort(ids)
	return strict.Words{"lessons": ids}
}

// Schema is the JSON Schema of a drill file.
func Schema() map[string]any { return strict.Schema("a drill of telltrace", Drill{}, words()) }

// Parse reads a drill; file is its name for the faults, all of which are told at once.
func Parse(file string, text []byte) (Drill, error) {
	d := Drill{}
	doc, faults := strict.Read(file, text, &d, words())
	if d.Severity == (Severity{}) {
		d.Severity = Severity{50, 35, 15}
	}
	if len(d.Ask) == 0 {
		d.Ask = []string{string(ledger.Rhythm)}
	}
	if len(faults) == 0 {
		faults = d.check(doc)
	}
	if len(faults) > 0 {
		return d, faults
	}
	return d, nil
}

// check finds what hangs on more than one field: plans that cannot be met.
func (d Drill) check(doc *strict.Document) (out strict.Faults) {
	fault := func(path []any, format string, args ...any) {
		out = append(out, doc.Fault(fmt.Sprintf(format, args...), path...))
	}
	if sum := d.Severity.Plain + d.Severity.Middle + d.Severity.Subtle; sum != 100 {
		fault([]any{"severity"}, "severity: the three add up to %d; want 100", sum)
	}
	order := []string{measure, string(ledger.Rhythm), string(ledger.FirstAction)}
	for i, a := range d.Ask[1:] {
		if slices.Index(order, a) <= slices.Index(order, d.Ask[i]) {
			fault([]any{"ask", i + 1}, "ask: %s stands twice or too late; the order is %s", a, strings.Join(order, ", "))
		}
	}
	if !slices.Contains(d.Ask, string(ledger.Rhythm)) {
		fault([]any{"ask"}, "ask: want rhythm among the questions; the others go with it")
	}
	for i, a := range d.Ages {
		if _, err := norms.ParseAge(a); err != nil {
			fault([]any{"ages", i}, "ages: %v", err)
		}
	}
	if len(out) > 0 {
		return out
	}
	if len(d.Show) == 0 {
		fault([]any{"show"}, "the drill lacks show: the rhythms and artifacts, each with its weight")
		return out
	}
	for _, id := range d.shown() {
		if len(d.agesOf(id)) == 0 {
			fault([]any{"show", id}, "%s occurs at none of the ages %s", id, strings.Join(d.Ages, ", "))
		}
	}
	if len(d.Show) > d.Strips {
		fault([]any{"strips"}, "strips is %d, too few for one of each of %d entries; want %d or more, or show less", d.Strips, len(d.Show), len(d.Show))
	}
	for id := range d.Pass.Each {
		if d.Show[id] == 0 {
			fault([]any{"pass", "each", id}, "pass, each: %s is not shown%s", id, meant(id, d.shown()))
		}
	}
	return out
}

func meant(id string, among []string) string {
	if best, ok := near.Word(id, among); ok {
		return "; did you mean " + best + "?"
	}
	return "; shown are " + strings.Join(among, ", ")
}

// shown are the entries, sorted.
func (d Drill) shown() []string {
	ids := make([]string, 0, len(d.Show))
	for id := range d.Show {
		ids = append(ids, id)
	}
	slices.Sort(ids)
	return ids
}

// agesOf are the drill's ages at which an entry occurs; without ages the middles of the
// bands.
func (d Drill) agesOf(id string) (out []ecg.Age) {
	var all []ecg.Age
	for _, a := range d.Ages {
		age, err := norms.ParseAge(a)
		if err == nil {
			all = append(all, age)
		}
	}
	if len(d.Ages) == 0 {
		for _, b := range norms.Bands() {
			all = append(all, b.Middle)
		}
	}
	for _, age := range all {
		if synth.OccursAt(id, age) {
			out = append(out, age)
		}
	}
	return out
}

// Part is how the answers of the drill are known in the ledger: its name, and a mark of what
// it asks for, so that answers to a drill that was changed are told apart.
func (d Drill) Part() string { return fmt.Sprintf("%s@%x", d.Name, d.mark()) }

// NameOf is the drill's name in the Part of an answer.
func NameOf(part string) string {
	name, _, _ := strings.Cut(part, "@")
	return name
}

// mark is a short digest of all that decides what is shown and asked.
func (d Drill) mark() []byte {
	text := fmt.Sprintf("%s|%d|%g|%v|%v|%v|%s|%v|%v", d.Name, d.Strips, d.Seconds, d.Ages, d.Severity, d.Ask, d.Same, pairs(d.Show), d.Pass.Right)
	for _, p := range pairs(d.Pass.Each) {
		text += "|" + p
	}
	sum := sha256.Sum256([]byte(text + fmt.Sprint("|", d.Pass.Dangerous, ecg.Engine)))
	return sum[:4]
}

// pairs writes a map in a fixed order.
func pairs[V any](m map[string]V) (out []string) {
	for k, v := range m {
		out = append(out, fmt.Sprintf("%s=%v", k, v))
	}
	slices.Sort(out)
	return out
}

// seed is that of everyone's strips at a sitting (from 0).
func (d Drill) seed(sitting int) uint64 {
	sum := sha256.Sum256(fmt.Appendf(nil, "%s|%d", d.Part(), sitting))
	return binary.BigEndian.Uint64(sum[:8])
}

// Limit is the time for each question.
func (d Drill) Limit() time.Duration { return time.Duration(d.Seconds * float64(time.Second)) }

// Words say the drill and its rule in sentences.
func (d Drill) Words() []string {
	out := []string{
		fmt.Sprintf("%d strips, %g seconds for each; what is asked: %s.", d.Strips, d.Seconds, strings.Join(d.asked(), ", then ")),
		map[bool]string{true: "After each strip you are shown what was right.", false: "Nothing is told until the end."}[d.Tell == TellStrip],
	}
	rule := fmt.Sprintf("Passed with %g %% of the answers right", d.Pass.Right)
	for _, id := range slices.Sorted(keys(d.Pass.Each)) {
		l, _ := synth.Lesson(id)
		rule += fmt.Sprintf(", %g %% of %s", d.Pass.Each[id], l.Name)
	}
	switch d.Pass.Dangerous {
	case 0:
		rule += ", and no dangerous answer"
	case 1:
		rule += ", and at most one dangerous answer"
	default:
		rule += fmt.Sprintf(", and at most %d dangerous answers", d.Pass.Dangerous)
	}
	out = append(out, rule+".")
	switch d.Retakes {
	case 0:
		out = append(out, "It can be taken once.")
	default:
		out = append(out, fmt.Sprintf("It can be taken again %d times, with other strips of the same plan.", d.Retakes))
	}
	return out
}

func keys[V any](m map[string]V) func(func(string) bool) {
	return func(yield func(string) bool) {
		for k := range m {
			if !yield(k) {
				return
			}
		}
	}
}

func (d Drill) asked() (out []string) {
	for _, a := range d.Ask {
		out = append(out, map[string]string{measure: "rate, regularity, P, PR and QRS", "rhythm": "what the strip shows", "first-action": "what you do first"}[a])
	}
	return out
}

//go:embed library/*.yaml
var library embed.FS

// Library are the drills that come with telltrace, in the order of their names, with
// their texts.
func Library() (drills []Drill, texts [][]byte) {
	files, err := fs.Glob(library, "library/*.yaml")
	if err != nil {
		panic(err) // the pattern is a constant
	}
	for _, f := range files {
		text, err := library.ReadFile(f)
		if err == nil {
			var d Drill
			if d, err = Parse(path.Base(f), text); err == nil {
				drills, texts = append(drills, d), append(texts, text)
			}
		}
		if err != nil {
			panic(err) // the files are part of the program; a test reads them
		}
	}
	return drills, texts
}

// Find is a drill of the library by its name; the error suggests the nearest.
func Find(name string) (Drill, error) {
	drills, _ := Library()
	var names []string
	for _, d := range drills {
		if d.Name == name {
			return d, nil
		}
		names = append(names, d.Name)
	}
	return Drill{}, fmt.Errorf("there is no drill %q%s", name, meant(name, names))
}
