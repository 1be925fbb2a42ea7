package ledger

import (
	"fmt"
	"strconv"
	"strings"
)

// Showing names the showing of strip n (from 1) of a sitting of so many, as a Presentation:
// so the ledger knows which answers make a whole block of checks or a whole drill.
func Showing(sitting string, n, of int) string { return fmt.Sprintf("%s/%d/%d", sitting, n, of) }

// SittingOf is the reverse; false for a strip of no sitting.
func SittingOf(presentation string) (sitting string, n, of int, ok bool) {
	parts := strings.Split(presentation, "/")
	if len(parts) != 3 {
		return "", 0, 0, false
	}
	n, errN := strconv.Atoi(parts[1])
	of, errOf := strconv.Atoi(parts[2])
	return parts[0], n, of, errN == nil && errOf == nil && 1 <= n && n <= of
}
