package synth_test

import (
	"os/exec"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// module is the name all our packages begin with.
const module = "telltrace"

// layer is how high a package stands; arrows of import point down or stay level:
// cmd over trainer over scenarios and scoring over synth over synth/* over synth/ecg.
func layer(pkg string) int {
	first, rest, _ := strings.Cut(strings.TrimPrefix(pkg, module+"/"), "/")
	switch {
	case first == "cmd":
		return 5
	case first == "trainer":
		return 4
	case first == "scenarios", first == "scoring":
		return 3
	case first == "synth" && rest == "":
		return 2
	case first == "synth" && rest == "ecg":
		return 0
	case first == "synth":
		return 1
	default:
		return -1
	}
}

// ours lists every package of the module with the packages of ours it depends on,
// directly or not, itself left out.
func ours(t *testing.T) map[string][]string {
	t.Helper()
	list := exec.Command("go", "list", "-deps=false", "-f", "{{.ImportPath}}{{range .Deps}} {{.}}{{end}}", "./...")
	list.Dir = ".."
	out, err := list.Output()
	require.NoError(t, err, "go list in the repository's root")
	packages := map[string][]string{}
	for line := range strings.Lines(string(out)) {
		words := strings.Fields(line)
		var deps []string
		for _, dep := range words[1:] {
			if dep == module || strings.HasPrefix(dep, module+"/") {
				deps = append(deps, dep)
			}
		}
		packages[words[0]] = deps
	}
	return packages
}

func TestArrowsPointDown(t *testing.T) {
	packages := ours(t)
	require.Contains(t, packages, module+"/synth/measure", "the list is of this repository")
	for pkg, deps := range packages {
		assert.GreaterOrEqual(t, layer(pkg), 0, "%s stands in no layer: give it one here and in the contributor guide", pkg)
		for _, dep := range deps {
			assert.GreaterOrEqual(t, layer(pkg), layer(dep), "%s imports %s, which stands above it", pkg, dep)
		}
	}
	assert.Empty(t, packages[module+"/synth/ecg"], "the vocabulary imports nothing of ours")
	assert.Equal(t, []string{module + "/synth/ecg"}, packages[module+"/synth/measure"],
		"the reader sees the vocabulary and nothing of the generator")
	assert.Equal(t, []string{module + "/synth/ecg"}, packages[module+"/synth/record"], "files know words only")
	for pkg, deps := range packages {
		if strings.HasPrefix(pkg, module+"/scenarios") {
			assert.False(t, slices.ContainsFunc(deps, func(d string) bool { return strings.HasPrefix(d, module+"/scoring") }),
				"%s: scenarios know no score", pkg)
		}
	}
}
