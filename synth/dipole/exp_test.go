package dipole

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestExpIsTheLibrarys(t *testing.T) {
	for x := -300.0; x < 300; x += 0.0137 {
		require.InEpsilon(t, math.Exp(x), exp(x), 1e-13, "exp(%g)", x)
	}
}
