package check

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestSlips(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{{"", "", 0}, {"a", "", 1}, {"", "ab", 2}, {"brass", "brass", 0}, {"brass", "bras", 1}, {"brass", "brsas", 1}, {"brass", "trass", 1}, {"ébène", "ebene", 2}, {"copper", "gunmetal", 7}} {
		require.Equal(t, c.want, Slips(c.a, c.b, 9), "%v", c)
		require.Equal(t, c.want, Slips(c.b, c.a, 9), "%v", c)
		require.Equal(t, min(c.want, 2), Slips(c.a, c.b, 2), "%v", c)
	}
}
