package agreement_test

import (
	"bufio"
	"fmt"
	"hash/fnv"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/measure"
	"telltrace/synth/record"
	"telltrace/synth/rhythm"
)

func TestDump(t *testing.T) {
	out := os.Getenv("DUMP")
	if out == "" {
		t.Skip()
	}
	f, err := os.Create(out)
	require.NoError(t, err)
	defer f.Close()
	w := bufio.NewWriter(f)
	defer w.Flush()
	say := func(id string, s ecg.Strip, lead ecg.Lead) {
		r, err := measure.Read(s, lead)
		if err != nil {
			fmt.Fprintln(w, id, err)
			return
		}
		h := fnv.New64()
		np, nt := 0, 0
		for i, b := range r.Marks.Beats {
			fmt.Fprintf(h, "%.3f %.3f %.3f %.3f %.3f %.3f %d %v;", b.QRS.Onset, b.QRS.Peak, b.QRS.Offset, b.P.Onset, b.T.Peak, b.T.Offset, r.Groups[i], b.Origin)
			if b.P.Present() {
				np++
			}
			if b.T.Present() {
				nt++
			}
		}
		fmt.Fprintf(w, "%s|%s|%s|%v|%s|%.1f|%.3f|%.3f|%.3f|%d|%d|%d|%d|%d|%.2f|%x\n", id, r.Lead, r.Kind, r.Name, strings.Join(r.Also, ","), r.Rate, r.PR, r.QRS, r.QT, len(r.Marks.Beats), len(r.Marks.P), np, nt, r.Ectopics, r.PPerQRS, h.Sum64())
	}
	root := os.Getenv("TELLTRACE_ECG")
	if root == "" {
		root = "../../../shared/ecg"
	}
	var files []string
	for _, d := range []string{"mitdb", "cudb", "nstdb", "icu-alarms", "ludb", "qtdb", "af2017", "ptbxl"} {
		g, _ := filepath.Glob(filepath.Join(root, d, "*.hea"))
		files = append(files, g...)
	}
	sort.Strings(files)
	for _, p := range files {
		rec, err := record.ReadAll(strings.TrimSuffix(p, ".hea"))
		if err != nil {
			fmt.Fprintln(w, p, err)
			continue
		}
		s := rec.Strip
		n := int(60 * s.Rate)
		for at := 0; at < len(s.MV[0]); at += n {
			to := min(at+n, len(s.MV[0]))
			if to-at < int(5*s.Rate) {
				break
			}
			c := s.Cut(at, to)
			say(fmt.Sprintf("%s@%d", filepath.Base(p), at), c, "")
			for _, l := range c.Leads {
				say(fmt.Sprintf("%s@%d", filepath.Base(p), at), c, l)
			}
		}
	}
	for _, r := range rhythm.All() {
		for _, a := range []ecg.Age{ecg.Years(1), ecg.Years(6), ecg.Years(40)} {
			if !synth.OccursAt(r.ID, a) {
				continue
			}
			for seed := uint64(1); seed <= 3; seed++ {
				id := ecg.Synthetic(r.ID, a, seed)
				s, _, err := synth.Render(id, 10)
				require.NoError(t, err)
				say(fmt.Sprint(id), s, "")
				for _, l := range s.Leads {
					say(fmt.Sprint(id), s, l)
				}
			}
		}
	}
}
