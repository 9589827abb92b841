package fields

import (
	"strings"
	"testing"
)

// A nitrate number whose form or dry matter is not said can be off by the
// factor named; it is refused with the question that settles it.
func TestNitrateResultNeedsFormAndDryMatter(t *testing.T) {
	lab := func(more string) string {
		return `{"id":"01J00000000000000000000001","kind":"lab","recorded":"2026-09-01T08:00:00-06:00","by":"x","paddock":"p","sampled_on":"2026-08-30","values":[3000],"unit":"ppm","method":"lab",` + more + `}`
	}
	for _, c := range []struct{ more, field, words string }{
		{`"analyte":"nitrate","basis":"dm"`, "form", "4.43"},
		{`"analyte":"nitrate","basis":"as-fed","form":"NO3"`, "dm_pct", "dry matter"},
		{`"analyte":"hcn","basis":"dm","form":"NO3"`, "form", "nitrate"},
		{`"analyte":"nitrate","form":"NO3"`, "basis", "missing"},
	} {
		_, ps := DecodeEntry([]byte(lab(c.more)))
		if len(ps) != 1 || ps[0].Field != c.field || !strings.Contains(ps[0].Error(), c.words) {
			t.Errorf("%s: got %v, want %s with %q", c.more, ps, c.field, c.words)
		}
	}
	for _, ok := range []string{`"analyte":"nitrate","basis":"as-fed","form":"NO3","dm_pct":40`, `"analyte":"hcn","basis":"as-fed"`} {
		if _, ps := DecodeEntry([]byte(lab(ok))); len(ps) != 0 {
			t.Errorf("%s refused: %v", ok, ps)
		}
	}
}
