package report

import (
	"encoding/json"
	"fmt"
	"io"
	"net/url"
	"time"

	"github.com/google/uuid"
)

// Names by which a learning record store knows things (xAPI 1.0.3, part two: IRIs). The
// home page of the learners' names is one that can never exist (RFC 2606).
const (
	verbs    = "http://adlnet.gov/expapi/verbs/"
	activity = "http://adlnet.gov/expapi/activities/assessment"
	home     = "https://telltrace.invalid/learners"
)

// space is in which the ids of statements are made (RFC 9562, version 5): the same
// sitting is the same statement however often it is written.
var space = uuid.NewSHA1(uuid.NameSpaceURL, []byte(home))

// statement is an xAPI statement (1.0.3, part two, 2.4).
type statement struct {
	ID    string `json:"id"`
	Actor struct {
		Type    string  `json:"objectType"`
		Account account `json:"account"`
	} `json:"actor"`
	Verb      described `json:"verb"`
	Object    object    `json:"object"`
	Result    result    `json:"result"`
	Timestamp string    `json:"timestamp"`
}

type account struct {
	Home string `json:"homePage"`
	Name string `json:"name"`
}

type described struct {
	ID      string            `json:"id"`
	Display map[string]string `json:"display"`
}

type object struct {
	Type       string `json:"objectType"`
	ID         string `json:"id"`
	Definition struct {
		Type string            `json:"type"`
		Name map[string]string `json:"name"`
	} `json:"definition"`
}

type result struct {
	Score struct {
		Scaled float64 `json:"scaled"`
		Raw    int     `json:"raw"`
		Min    int     `json:"min"`
		Max    int     `json:"max"`
	} `json:"score"`
	Success    *bool  `json:"success,omitempty"`
	Completion bool   `json:"completion"`
	Duration   string `json:"duration"`
}

// XAPI writes a statement for each finished sitting of a drill, as one JSON array: passed
// or failed where the rules are known, else completed.
func (r *Report) XAPI(w io.Writer) error {
	out := []statement{}
	for _, s := range r.results {
		if s.Right.N == 0 {
			continue
		}
		verb, success := "completed", (*bool)(nil)
		if s.Known {
			verb, success = map[bool]string{true: "passed", false: "failed"}[s.Passed], &s.Passed
		}
		st := statement{ID: uuid.NewSHA1(space, []byte(s.Learner+"\x00"+s.ID)).String(), Timestamp: s.End.UTC().Format(time.RFC3339Nano)}
		st.Actor.Type, st.Actor.Account = "Agent", account{home, harmless(s.Learner)}
		st.Verb = described{verbs + verb, map[string]string{"en": verb}}
		st.Object.Type, st.Object.ID = "Activity", "https://telltrace.invalid/drills/"+url.PathEscape(s.Name)
		st.Object.Definition.Type, st.Object.Definition.Name = activity, map[string]string{"en": harmless(s.Drill)}
		st.Result.Score.Scaled, st.Result.Score.Raw, st.Result.Score.Max = s.Right.Share(), s.Right.K, s.Right.N
		st.Result.Success, st.Result.Completion = success, true
		st.Result.Duration = fmt.Sprintf("PT%.3fS", max(s.End.Sub(s.Began).Seconds(), 0))
		out = append(out, st)
	}
	e := json.NewEncoder(w)
	e.SetIndent("", " ")
	return e.Encode(out)
}
