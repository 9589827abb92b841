package fields

import (
	"cmp"
	"strings"
)

// CompareNames orders names as people list them: numbers in them by their value, so
// that Field 2 comes before Field 10, and capitals beside their small letters. Names
// that read alike keep the order of their bytes.
func CompareNames(a, b string) int {
	x, y := strings.ToLower(a), strings.ToLower(b)
	for x != "" && y != "" {
		n, m := leadingDigits(x), leadingDigits(y)
		if n == 0 || m == 0 {
			if x[0] != y[0] {
				return cmp.Compare(x[0], y[0])
			}
			x, y = x[1:], y[1:]
			continue
		}
		p, q := strings.TrimLeft(x[:n], "0"), strings.TrimLeft(y[:m], "0")
		if c := cmp.Or(cmp.Compare(len(p), len(q)), cmp.Compare(p, q)); c != 0 {
			return c
		}
		x, y = x[n:], y[m:]
	}
	return cmp.Or(cmp.Compare(len(x), len(y)), cmp.Compare(a, b))
}

// leadingDigits is how many digits s begins with.
func leadingDigits(s string) int {
	n := 0
	for n < len(s) && s[n] >= '0' && s[n] <= '9' {
		n++
	}
	return n
}
