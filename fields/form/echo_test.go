package form

import (
	"testing"
	"time"

	"rimegate/fields"
)

// How a text is read is said as the reader of entries reads it; what it would
// refuse is not echoed.
func TestEcho(t *testing.T) {
	now := time.Date(2026, 10, 6, 6, 52, 0, 0, time.FixedZone("farm", -6*3600))
	for _, x := range []struct {
		kind              fields.Kind
		field, text, want string
	}{
		{fields.KindFrost, "night", " yesterday ", "from noon Sun 4 Oct to noon Mon 5 Oct 2026"},
		{fields.KindFrost, "low_c", "26F", "-3.3 °C (26 °F)"},
		{fields.KindFrost, "low_c", "26", ""},
		{fields.KindFrost, "ended_at", "05:30", "Tue 6 Oct 2026 05:30"},
		{fields.KindFrost, "seen", "26F", ""},
		{fields.KindWalk, "shoots_cm", "none", "looked, found none"},
		{fields.KindWalk, "on", "06/10/26", ""},
		{fields.KindVet, "until", "20-Oct", "Tue 20 Oct 2026"},
		{fields.KindVet, "until", "", ""},
		{fields.KindHerd, "classes", "cows, sheep,bulls", `"cows" is taken as all it can mean: bred-cattle, open-cattle; "bulls" is taken as open-cattle`},
		{fields.KindHerd, "classes", "sheep", ""},
	} {
		if got := Of(x.kind).Field(x.field).Echo(x.text, now, nil); got != x.want {
			t.Errorf("%s, %s %q: %q instead of %q", x.kind, x.field, x.text, got, x.want)
		}
	}
}

type herdCalledCows struct{ Farm }

func (herdCalledCows) HerdClasses(typed string) []string {
	if typed == "cows" {
		return []string{"open-cattle"}
	}
	return nil
}

// A keep-off for a herd that is called "cows" is one for all that cows can be, and the
// echo says so; a list for that herd is of the herd alone.
func TestAHerdCalledLikeAClass(t *testing.T) {
	now := time.Date(2026, 10, 6, 7, 0, 0, 0, time.UTC)
	if got, want := Of(fields.KindVet).Field("classes").Echo("cows", now, herdCalledCows{}), `"cows" is the herd: open-cattle, bred-cattle`; got != want {
		t.Errorf("the keep-off's echo is %q, want %q", got, want)
	}
}
