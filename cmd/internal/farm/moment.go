package farm

import (
	"fmt"
	"strings"
	"time"

	"rimegate/fields"
)

// ParseMoment reads a day with an hour as a person types it, in farm time:
// "06:40" (today), "yesterday 22:10", "17-Sep-2026 06:40", "2026-09-17 06:40",
// or an instant with a zone such as 2026-09-17T06:40:00-06:00. A day without an
// hour is refused: a morning and an evening know different things.
func ParseMoment(s string, today fields.Date, loc *time.Location) (time.Time, error) {
	t := strings.TrimSpace(s)
	if at, err := time.Parse(time.RFC3339, t); err == nil {
		return at.In(loc), nil
	}
	bad := fmt.Errorf("%q is not a day with an hour; type one like 06:40, \"yesterday 22:10\" or \"17-Sep-2026 06:40\"", s)
	day, hour := "", t
	if i := strings.LastIndexAny(t, " T"); i >= 0 {
		day, hour = strings.TrimSpace(t[:i]), t[i+1:]
	}
	clock, err := time.Parse("15:04", hour)
	if err != nil {
		return time.Time{}, bad
	}
	d := today
	if day != "" {
		if d, err = fields.ParseDate(day, today); err != nil {
			return time.Time{}, err
		}
	}
	return d.At(clock.Hour(), clock.Minute(), loc), nil
}

// Moment is ParseMoment by the view's today. One that counts from today is refused
// where today is in doubt.
func (v *View) Moment(typed string) (time.Time, error) {
	t, err := ParseMoment(typed, v.Today, v.Loc)
	if err == nil && v.Behind != "" {
		if u, err := ParseMoment(typed, v.Today+1, v.Loc); err != nil || !u.Equal(t) {
			return t, fields.Problem{What: "today is in doubt: " + v.Behind, Type: "set the clock right, or type the day too, like \"17-Sep-2026 07:30\""}
		}
	}
	return t, err
}
