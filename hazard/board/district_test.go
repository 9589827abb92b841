package board

import (
	"bytes"
	"runtime"
	"strings"
	"testing"
	"time"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/rules"
)

// someDistrict is a list of two farms that can be answered for and two in trouble.
func someDistrict(t *testing.T) *District {
	t.Helper()
	at := time.Date(2026, 9, 12, 6, 52, 0, 0, time.FixedZone("", -6*3600))
	d := NewDistrict("tls://share.example.org:4222", at, Filter{})
	frost := line(850, "frost", `"paddocks":["north-slough","home-quarter","creek"],"night":"2026-09-12"`)
	page := func(lines ...string) *Page {
		h := fields.Fold(entries(t, append(farmLines(), lines...)...), fields.View{On: day("2026-09-12"), KnownAt: at.Add(time.Hour)})
		return NewPage(hazard.Assess(h, rules.Default()), Filter{}, nil)
	}
	d.Add("coulee", page(), at.Add(-time.Hour), "")
	d.Add("bench", page(frost), at.Add(-20*time.Hour), "")
	d.Add("hill\x1b[31m", page(frost), at.Add(-50*time.Hour), "nothing came from it since \x1b[31mThu 10 Sep 04:52")
	d.Add("creek", nil, time.Time{}, `the server "tls://share.example.org:4222" has no stream of the farm creek: none of its seats ever shared`)
	d.Notes = append(d.Notes, "a note of the clocks.")
	return d
}

func TestDistrictText(t *testing.T) {
	for _, width := range []int{80, 40} {
		var out bytes.Buffer
		if err := someDistrict(t).Text(&out, width); err != nil {
			t.Fatal(err)
		}
		for l := range strings.Lines(out.String()) {
			if Width(strings.TrimSuffix(l, "\n")) > width || strings.ContainsAny(l, "\x1b") {
				t.Errorf("%q is no line of %d cells", l, width)
			}
		}
		if width == 80 {
			golden(t, "district.txt", out.String())
		}
	}
}

func TestDistrictJSON(t *testing.T) {
	text, err := someDistrict(t).JSON()
	if err != nil {
		t.Fatal(err)
	}
	doc := validate(t, compiled(t, DistrictSchema), text)
	no := 0
	for i, x := range list(t, doc["farms"]) {
		f := x.(map[string]any)
		rows := list(t, f["paddocks"])
		if trouble := f["trouble"] != nil; trouble != (i < 2) || trouble != (len(rows) == 0) {
			t.Errorf("farm %d, %v: %v with %d rows", i, f["farm"], f["trouble"], len(rows))
		}
		if f["farm"] == "hill" && (len(list(t, f["acts"])) == 0 || f["ask"].(interface{ String() string }).String() != "0") {
			t.Errorf("a farm in trouble, with a frost: %v", f)
		}
		for _, r := range rows {
			if r.(map[string]any)["flag"] == "hold" {
				no++
			}
		}
	}
	if no == 0 {
		t.Error("a frost held nothing")
	}
}

// Nothing of a farm is kept but its rows: what a list of many farms needs is that of one.
func TestDistrictKeepsNoFarm(t *testing.T) {
	d := NewDistrict("x", time.Now(), Filter{})
	used := func() int64 {
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		return int64(m.HeapAlloc)
	}
	add := func() {
		lines := farmLines()
		for i := range lines {
			lines[i] = strings.Replace(lines[i], `"by":"Ann"`, `"by":"Ann","note":"`+strings.Repeat("x", 100_000)+`"`, 1)
		}
		h := fields.Fold(entries(t, lines...), fields.View{On: day("2026-09-12")})
		d.Add("coulee", NewPage(hazard.Assess(h, rules.Default()), Filter{}, nil), time.Time{}, "")
	}
	add()
	before := used()
	for range 20 {
		add()
	}
	if more := used() - before; more > 2<<20 {
		t.Errorf("20 farms keep %d KB", more>>10)
	}
	runtime.KeepAlive(d)
}
