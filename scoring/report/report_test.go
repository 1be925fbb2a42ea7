package report

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"telltrace/scoring/drill"
	"telltrace/scoring/ledger"
	"telltrace/scoring/readiness"
	"telltrace/synth"
)

var start = time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)

// hostile are names that would do harm if they were taken for more than names.
var hostile = []string{
	`"><script>alert(1)</script>`, `' onmouseover='alert(1)`, "=1+1", "+cmd|' /C calc'!A0", "@SUM(A1)", "-2+3", "\t=1",
	"\u202egnp.exe\u200f", "\x1b[31mred\x07", strings.Repeat("long", 2500), "a\nb\r\nc", "</title><img src=//evil.example>", "{{.Made}}", "日本 שלום 🫀", "%s%n",
}

// sat is a report in which each learner sat a drill whole: right in all, or in half.
func sat(learners []string) (*Report, drill.Drill) {
	d, err := drill.Find("arrest-rhythms")
	if err != nil {
		panic(err)
	}
	r := New(Settings{Class: learners[0], Made: start, Location: time.UTC, Lessons: synth.Lessons(), Rules: readiness.Default(), Drills: []drill.Drill{d}, Caution: "Training only."})
	shown, err := d.Draw("s", 0)
	if err != nil {
		panic(err)
	}
	for i, name := range learners {
		at := start
		for n, e := range shown {
			for _, q := range []ledger.Question{ledger.Rhythm, ledger.FirstAction} {
				at = at.Add(7 * time.Second)
				a := ledger.Answer{ID: fmt.Sprint(i, n, q), Learner: name, At: at, Mode: ledger.Drill, Part: d.Part(), Class: learners[0], Strip: e.Strip.String(),
					Subject: e.Strip.Subject(), Question: q, Presentation: ledger.Showing(fmt.Sprint("sitting", i), n+1, len(shown)),
					Chosen: e.Strip.Subject(), Correct: true, Verdict: ledger.Right, Took: 4 * time.Second}
				if i%2 == 1 && n%2 == 1 {
					a.Correct, a.Verdict, a.Chosen = false, ledger.Wrong, name
				}
				r.Add(a)
			}
		}
	}
	return r, d
}

func written(t *testing.T, r *Report, f Format) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, r.Write(f, &b))
	return b.String()
}

// A formula is what a spreadsheet takes for one: =, +, -, @, tab or return in front
// (OWASP, CSV Injection).
func TestHostileNamesAreHarmless(t *testing.T) {
	r, _ := sat(hostile)
	reader := csv.NewReader(strings.NewReader(written(t, r, CSV)))
	reader.FieldsPerRecord = -1
	rows, err := reader.ReadAll()
	require.NoError(t, err)
	for _, row := range rows {
		for _, cell := range row {
			assert.NotRegexp(t, `^[=+@\t\r]|^-[^0-9.]|^-.*[+*]`, cell)
		}
	}
	page := written(t, r, HTML)
	root, err := html.Parse(strings.NewReader(page))
	require.NoError(t, err)
	for n := range root.Descendants() {
		assert.NotContains(t, []string{"script", "img", "iframe", "a", "form", "object"}, n.Data)
		for _, a := range n.Attr {
			assert.False(t, strings.HasPrefix(a.Key, "on"), "%s", a.Key)
			if a.Key == "href" || a.Key == "src" {
				assert.Equal(t, "data:,", a.Val)
			}
		}
	}
	for _, f := range []Format{Text, HTML, CSV, JSON, XAPI} {
		s := written(t, r, f)
		assert.NotRegexp(t, "[\u202e\u200f\x1b\x07]", s, "%s", f)
		assert.NotContains(t, s, strings.Repeat("long", 20), "%s: long names are cut", f)
		assert.Equal(t, s, written(t, r, f), "%s: the same report is the same bytes", f)
	}
	assert.True(t, strings.HasPrefix(written(t, r, PDF), "%PDF-"))
}

func TestRecordSaysWhatWasTestedByWhichRules(t *testing.T) {
	r, d := sat([]string{"ann", "ben"})
	text := written(t, r, Text)
	for _, want := range []string{"Orientation record: ann", "Orientation record: ben", d.Title + " | when: 2026-03-01 | right: 40 of 40", "result: passed",
		"result: not passed", d.Words()[0], "Learner, date: ____", "Educator, date: ____", "Training only.", "reached the mark of 80 %", "Who needs which practice"} {
		assert.Contains(t, text, want)
	}
	var doc document
	require.NoError(t, json.Unmarshal([]byte(written(t, r, JSON)), &doc))
	assert.Equal(t, r.Title(), doc.Title)
	assert.NotEmpty(t, doc.Sections)
	var empty bytes.Buffer
	require.NoError(t, New(r.set).PDF(&empty, "a4"))
}

// xAPI 1.0.3, part two: 2.4 requires actor, verb and object; 2.4.1 an id that is a UUID;
// 2.4.2.1 an Agent has exactly one inverse functional identifier; 2.4.3 and 2.4.4 ids are
// IRIs; 2.4.5.1 scaled is -1 to 1 and raw between min and max; 4.6 durations and 4.5
// timestamps are ISO 8601.
func TestStatementsFollowTheRules(t *testing.T) {
	r, _ := sat([]string{"ann", "ben", `"><b>`})
	var all []map[string]any
	require.NoError(t, json.Unmarshal([]byte(written(t, r, XAPI)), &all))
	require.Len(t, all, 3)
	iri := func(s any) {
		u, err := url.Parse(s.(string))
		require.NoError(t, err)
		assert.True(t, u.IsAbs())
	}
	seen := map[string]bool{}
	for i, s := range all {
		id := s["id"].(string)
		_, err := uuid.Parse(id)
		require.NoError(t, err)
		assert.False(t, seen[id])
		seen[id] = true
		actor := s["actor"].(map[string]any)
		assert.Equal(t, "Agent", actor["objectType"])
		assert.Len(t, actor, 2)
		iri(actor["account"].(map[string]any)["homePage"])
		assert.NotEmpty(t, actor["account"].(map[string]any)["name"])
		verb := s["verb"].(map[string]any)
		iri(verb["id"])
		assert.Equal(t, []string{"passed", "failed", "passed"}[i], verb["display"].(map[string]any)["en"])
		iri(s["object"].(map[string]any)["id"])
		result := s["result"].(map[string]any)
		score := result["score"].(map[string]any)
		assert.True(t, score["scaled"].(float64) >= -1 && score["scaled"].(float64) <= 1)
		assert.True(t, score["min"].(float64) <= score["raw"].(float64) && score["raw"].(float64) <= score["max"].(float64))
		assert.Regexp(t, regexp.MustCompile(`^PT\d+(\.\d+)?S$`), result["duration"])
		_, err = time.Parse(time.RFC3339, s["timestamp"].(string))
		require.NoError(t, err)
		for key := range s {
			assert.Contains(t, []string{"id", "actor", "verb", "object", "result", "timestamp"}, key)
		}
	}
}

// Chromium opens the page as a file: nothing on its console, and one PDF when printed.
func TestOpensInABrowser(t *testing.T) {
	browser, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("needs chromium")
	}
	r, _ := sat(hostile)
	folder := t.TempDir()
	file, out := filepath.Join(folder, "r.html"), filepath.Join(folder, "r.pdf")
	require.NoError(t, os.WriteFile(file, []byte(written(t, r, HTML)), 0o600))
	said, err := exec.Command(browser, "--headless", "--no-sandbox", "--disable-gpu", "--enable-logging=stderr", "--user-data-dir="+folder, "--print-to-pdf="+out, "file://"+file).CombinedOutput()
	require.NoError(t, err, "%s", said)
	assert.NotContains(t, string(said), ":CONSOLE")
	made, err := os.ReadFile(out)
	require.NoError(t, err)
	assert.True(t, bytes.HasPrefix(made, []byte("%PDF-")))
}

// axe-core (its file named by TELLTRACE_AXE) finds no serious fault. In the copy of the
// page that it runs in, the rule against scripts is taken out.
func TestAxeFindsNoSeriousFault(t *testing.T) {
	browser, err := exec.LookPath("chromium")
	axe := os.Getenv("TELLTRACE_AXE")
	if err != nil || axe == "" {
		t.Skip("needs chromium, and TELLTRACE_AXE naming axe.min.js")
	}
	script, err := os.ReadFile(axe)
	require.NoError(t, err)
	r, _ := sat(hostile)
	page := regexp.MustCompile(`<meta http-equiv[^>]*>`).ReplaceAllString(written(t, r, HTML), "")
	page = strings.Replace(page, "</body>", `<script>`+strings.ReplaceAll(string(script), "</script>", `<\/script>`)+`</script>
<script>axe.run().then(r => { document.title = "AXE " + r.passes.length + " passes; " + r.violations.map(v => v.impact + " " + v.id).join(", ") + "." })</script></body>`, 1)
	folder := t.TempDir()
	file := filepath.Join(folder, "r.html")
	require.NoError(t, os.WriteFile(file, []byte(page), 0o600))
	dom, err := exec.Command(browser, "--headless", "--no-sandbox", "--disable-gpu", "--user-data-dir="+folder, "--virtual-time-budget=20000", "--dump-dom", "file://"+file).Output()
	require.NoError(t, err)
	found := regexp.MustCompile(`<title>(AXE [1-9][^<]*)</title>`).FindSubmatch(dom)
	require.NotNil(t, found, "axe ran to its end")
	assert.NotRegexp(t, "serious|critical", string(found[1]))
	t.Log(string(found[1]))
}

// A million answers of 2,000 learners: `go test ./scoring/report -run '^$' -bench Million`.
func BenchmarkMillion(b *testing.B) {
	lessons := synth.Lessons()
	for range b.N {
		r := New(Settings{Made: start, Location: time.UTC, Lessons: lessons, Rules: readiness.Default()})
		for i := range 1_000_000 {
			shown := lessons[i%len(lessons)].ID
			a := ledger.Answer{Learner: fmt.Sprint("learner ", i%2000), At: start, Mode: ledger.Practise, Subject: shown, Question: ledger.Rhythm, Correct: i%7 > 1, Took: 5 * time.Second, Chosen: shown}
			if i%2 == 0 {
				a.Mode, a.Part, a.Presentation = ledger.Drill, "own@1", ledger.Showing(fmt.Sprint("s", i%2000, "-", i/40000), i/2000%20+1, 20)
			}
			r.Add(a)
		}
		if err := r.HTML(new(bytes.Buffer)); err != nil {
			b.Fatal(err)
		}
	}
}
