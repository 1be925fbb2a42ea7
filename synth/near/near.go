// Package near finds the word somebody meant, for messages that suggest it.
package near

import "strings"

// Word is the word of the list nearest to the one given, false when none is close:
// more than a third of its letters would have to change. A part of a word counts as
// near; of several the shortest is taken.
func Word(word string, list []string) (string, bool) {
	word = strings.ToLower(strings.TrimSpace(word))
	if word == "" {
		return "", false
	}
	best, least := "", max(2, len(word)/3)+1
	part := ""
	for _, w := range list {
		if d := slips(word, w); d < least {
			best, least = w, d
		}
		if len(word) >= 3 && strings.Contains(w, word) && (part == "" || len(w) < len(part)) {
			part = w
		}
	}
	if best == "" {
		best = part
	}
	return best, best != ""
}

// slips counts the letters to insert, leave out or change to get from a to b
// (Levenshtein 1966, Soviet Physics Doklady 10:707; from memory).
func slips(a, b string) int {
	p, q := []rune(a), []rune(b)
	previous := make([]int, len(q)+1)
	for j := range previous {
		previous[j] = j
	}
	for i, x := range p {
		current := make([]int, len(q)+1)
		current[0] = i + 1
		for j, y := range q {
			change := previous[j]
			if x != y {
				change++
			}
			current[j+1] = min(change, previous[j+1]+1, current[j]+1)
		}
		previous = current
	}
	return previous[len(q)]
}
