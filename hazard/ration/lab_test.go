package ration_test

import (
	"math"
	"strings"
	"testing"
	"unicode"

	"pgregory.net/rapid"

	"rimegate/hazard/ration"
)

func TestParseLab(t *testing.T) {
	for _, c := range []struct {
		value, form, unit, basis, dm string
		ppmN                         float64 // NaN: not readable
		asks                         string  // topics, doubts with a question mark
	}{
		{"0,3 %", "NO3", "", "dm", "", 677.714, ""},
		{"0.3 %", "NO3", "", "dm", "", 677.714, ""},
		{"0.30 % NO3 dry matter", "", "", "", "", 677.714, ""},
		{"0,300 %", "no3", "", "dm", "", 677.714, ""},
		{".3", "NO3", "percent", "DM basis", "", 677.714, ""},
		{"3000", "NO3", "ppm", "dm", "", 677.714, ""},
		{"3 000 mg/kg", "NO₃⁻", "", "on a dry matter basis", "", 677.714, ""},
		{"3'000", "nitrate ion", "mg kg-1", "dry weight", "", 677.714, ""},
		{"3 g/kg nitrate (NO3) DM", "", "", "", "", 677.714, ""},
		{"1,234.5 ppm NO3-N", "", "", "dm", "", 1234.5, ""},
		{"1.234,5 ppm NO3-N", "", "", "dm", "", 1234.5, ""},
		{"1 234,5 ppm NO3-N", "", "", "dm", "", 1234.5, ""},
		{"1,234,567 ppb", "NO3-N", "", "dm", "", math.NaN(), "unit"},
		{"2100 ppm", "nitrate-nitrogen", "", "DMB", "", 2100, ""},
		{"2100 ppm nitrate as N", "", "", "dm", "", 2100, ""},
		{"1.5 % KNO3", "", "", "dm", "", 2078.18, ""},
		{"0.83 %", "potassium nitrate", "", "dm", "", 1149.9, ""},
		{"1848", "NO3-N", "ppm", "as fed", "88 %", 2100, ""},
		{"1848", "NO3-N", "ppm", "as received", "12 % moisture", 2100, ""},
		{"1848", "NO3-N", "ppm", "as-fed", "moisture: 12", 2100, ""},
		{"735 ppm", "NO3-N", "", "wet", "35", 2100, ""},
		{"<100 ppm NO3-N dm", "", "", "", "", 100, ""},
		{"less than 100", "NO3-N", "ppm", "dm", "", 100, ""},
		{"5000.", "NO3", "ppm", "dm", "", 1129.5, ""},
		// One reading is impossible, so there is no choice to make.
		{"1,200 %", "NO3", "", "dm", "", 2710.86, ""},
		{"12,500 g/kg", "NO3", "", "dm", "", 2823.8, ""},
		// No thousand begins with a zero.
		{"0,500 g/kg", "NO3-N", "", "dm", "", 500, ""},
		{"0.300 ppm", "NO3-N", "", "dm", "", 0.3, "unit?"},
		// Two readings, a thousand times apart.
		{"1,200 ppm", "NO3-N", "", "dm", "", math.NaN(), "value"},
		{"1.200 mg/kg", "NO3-N", "", "dm", "", math.NaN(), "value"},
		// Missing parts, all asked for at once.
		{"2100", "", "", "", "", math.NaN(), "form unit basis"},
		{"2100 ppm", "nitrate", "", "dm", "", math.NaN(), "form"},
		{"2100 ppm N", "", "", "dm", "", math.NaN(), "form"},
		{"2100 ppm NO3", "", "", "as-fed", "", math.NaN(), "dry matter"},
		{"2100 ppm NO3", "", "", "air dry", "", math.NaN(), "basis"},
		{"", "NO3", "ppm", "dm", "", math.NaN(), "value"},
		// Things that are not one nitrate figure.
		{"ND", "NO3", "ppm", "dm", "", math.NaN(), "value"},
		{">5000 ppm NO3 dm", "", "", "", "", math.NaN(), "value"},
		{"5000+ ppm NO3 dm", "", "", "", "", math.NaN(), "value"},
		{"1525-6250 ppm", "NO3", "", "dm", "", math.NaN(), "value"},
		{"1525 to 6250 ppm", "NO3", "", "dm", "", math.NaN(), "value"},
		{"-5 ppm", "NO3", "", "dm", "", math.NaN(), "value"},
		{"1.2.3 ppm", "NO3", "", "dm", "", math.NaN(), "value"},
		{"1,20,000 ppm", "NO3", "", "dm", "", math.NaN(), "value"},
		{"12.5 %", "crude protein", "", "dm", "", math.NaN(), "form"},
		{"30 ppm nitrite", "", "", "dm", "", math.NaN(), "form"},
		{"45 mg/L", "NO3", "", "dm", "", math.NaN(), "unit"},
		{"3000000 ppm", "NO3", "", "dm", "", math.NaN(), "value"},
		{"0.3 % NO3", "NO3-N", "", "dm", "", math.NaN(), "form"},
		{"0.3 %", "NO3", "ppm", "dm", "", math.NaN(), "unit"},
		{"3000 ppm", "NO3", "mg/kg", "dm", "", 677.714, ""},
		{"2100 ppm NO3", "", "", "as-fed", "0.88", math.NaN(), "dry matter"},
		{"2100 ppm NO3", "", "", "as-fed", "103", math.NaN(), "dry matter"},
		{"2100 ppm NO3", "", "", "as-fed", "dry as a bone", math.NaN(), "dry matter"},
		// Readable, but a person must say that it is so.
		{"0.3", "NO3", "ppm", "dm", "", 0.0678, "unit?"},
		{"3 %", "NO3-N", "", "dm", "", 30000, "form?"},
		{"15 %", "NO3", "", "dm", "", 33886, "unit? form?"},
		{"0 ppm", "NO3-N", "", "dm", "", 0, "value?"},
		{"40 ppm", "NO3-N", "", "as-fed", "3 %", 1333.3, "dry matter?"},
		// At the line itself there is no doubt yet.
		{"2 %", "NO3-N", "", "dm", "", 20000, ""},
		{"10 %", "KNO3", "", "dm", "", 13854.5, ""},
		{"1 ppm", "NO3-N", "", "dm", "", 1, ""},
	} {
		name := strings.Join([]string{c.value, c.form, c.unit, c.basis, c.dm}, "|")
		r, qs := ration.ParseLab(c.value, c.form, c.unit, c.basis, c.dm)
		var asks []string
		for _, q := range qs {
			a := q.About
			if q.Doubt {
				a += "?"
			}
			asks = append(asks, a)
		}
		if got := strings.Join(asks, " "); got != c.asks {
			t.Errorf("%s: asks %q, want %q: %+v", name, got, c.asks, qs)
		}
		if math.IsNaN(c.ppmN) != math.IsNaN(r.PPMN) || math.Abs(r.PPMN-c.ppmN) > 1e-4*max(1, c.ppmN) {
			t.Errorf("%s: %g ppm NO3-N, want %g", name, r.PPMN, c.ppmN)
		}
		if (r.Echo == "") != math.IsNaN(c.ppmN) {
			t.Errorf("%s: echo %q", name, r.Echo)
		}
	}
}

func TestQuestionsNameTheFactorAtStake(t *testing.T) {
	for _, c := range []struct {
		value, form, unit, basis string
		about                    string
		factor                   float64
		words                    []string
	}{
		{"2100 ppm", "", "", "dm", "form", 4.43, []string{"4.43", "7.22", "NO3-N"}},
		{"2100", "NO3", "", "dm", "unit", 10000, []string{"10,000"}},
		{"1,200 ppm", "NO3", "", "dm", "value", 1000, []string{"1.2", "1200"}},
		{"3 %", "NO3-N", "", "dm", "form", 4.43, []string{"2 %", "NO3"}},
		{"0.4 ppm", "NO3", "", "dm", "unit", 10000, []string{"4000 ppm"}},
		{"100 ppm", "NO3", "", "", "basis", 0, []string{"dm or as-fed"}},
	} {
		_, qs := ration.ParseLab(c.value, c.form, c.unit, c.basis, "")
		found := false
		for _, q := range qs {
			if q.About != c.about {
				continue
			}
			found = true
			if math.Abs(q.Factor-c.factor) > 0.005 {
				t.Errorf("%s: factor %g, want %g", c.value, q.Factor, c.factor)
			}
			for _, w := range c.words {
				if !strings.Contains(q.Text, w) {
					t.Errorf("%s: %q does not say %q", c.value, q.Text, w)
				}
			}
			if strings.Contains(q.Text, "\n") || q.Text == "" || strings.HasSuffix(q.Text, ".") {
				t.Errorf("%q is not one plain sentence", q.Text)
			}
		}
		if !found {
			t.Errorf("%s %s %s: no question about %s in %+v", c.value, c.form, c.unit, c.about, qs)
		}
	}
}

func TestConvertRoundTrips(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := ration.Figure{
			Value: rapid.Float64Range(0, 1e6).Draw(t, "value"),
			Form:  rapid.SampledFrom(ration.Forms).Draw(t, "form"),
			Unit:  rapid.SampledFrom(ration.Units).Draw(t, "unit"),
			Basis: rapid.SampledFrom(ration.Bases).Draw(t, "basis"),
			DMPct: rapid.Float64Range(1, 100).Draw(t, "dm"),
		}
		for _, form := range ration.Forms {
			for _, unit := range ration.Units {
				for _, basis := range ration.Bases {
					g, err := f.In(form, unit, basis)
					if err != nil {
						t.Fatal(err)
					}
					back, err := g.In(f.Form, f.Unit, f.Basis)
					if err != nil {
						t.Fatal(err)
					}
					if math.Abs(back.Value-f.Value) > 1e-12*max(1e-9, f.Value) {
						t.Fatalf("%+v to %s %s %s and back: %g", f, form, unit, basis, back.Value)
					}
				}
			}
		}
	})
}

func TestConvertRefuses(t *testing.T) {
	ok := ration.Figure{Value: 1, Form: "NO3", Unit: "ppm", Basis: "dm"}
	for _, c := range []struct {
		f                 ration.Figure
		form, unit, basis string
		words             string
	}{
		{ok, "NO2", "ppm", "dm", "form"},
		{ok, "NO3", "oz", "dm", "unit"},
		{ok, "NO3", "ppm", "wet", "basis"},
		{ok, "NO3", "ppm", "as-fed", "88%"},
		{ration.Figure{Value: 1, Form: "NO3", Unit: "ppm", Basis: "as-fed", DMPct: 120}, "NO3", "ppm", "dm", "88%"},
	} {
		if _, err := c.f.In(c.form, c.unit, c.basis); err == nil || !strings.Contains(err.Error(), c.words) {
			t.Errorf("%+v to %s %s %s: %v", c.f, c.form, c.unit, c.basis, err)
		}
	}
}

// What is echoed is what was meant: a figure written out in any notation comes
// back with its value.
func TestParseLabReadsWhatWasWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		whole := rapid.IntRange(1, 99999).Draw(t, "whole")
		frac := rapid.IntRange(0, 99).Draw(t, "hundredths")
		want := float64(whole) + float64(frac)/100
		text := write(whole, frac,
			rapid.SampledFrom([]string{".", ","}).Draw(t, "decimal"),
			rapid.SampledFrom([]string{"", " ", "'", "\u00a0", "\u202f"}).Draw(t, "thousands"))
		r, qs := ration.ParseLab(text+" ppm NO3-N dm", "", "", "", "")
		if !ration.Readable(qs) || math.Abs(r.Value-want) > 1e-9*want {
			t.Fatalf("%q read as %g: %+v", text, r.Value, qs)
		}
	})
}

func write(whole, frac int, decimal, thousands string) string {
	s := itoa(whole)
	if len(s) > 3 && thousands != "" {
		s = s[:len(s)-3] + thousands + s[len(s)-3:]
	}
	if frac > 0 {
		f := itoa(frac)
		if len(f) == 1 {
			f = "0" + f
		}
		s += decimal + f
	}
	return s
}

func itoa(v int) string {
	if v == 0 {
		return "0"
	}
	s := ""
	for ; v > 0; v /= 10 {
		s = string(rune('0'+v%10)) + s
	}
	return s
}

func FuzzParseLab(f *testing.F) {
	for _, s := range [][5]string{
		{"0,3 %", "NO3", "", "dm", ""},
		{"1.234,5 mg/kg NO3", "", "", "as fed", "12% moisture"},
		{"<100 ppm", "nitrate-n", "ppm", "dm", "88"},
		{"1,200,000", "KNO3", "g/kg", "as-fed", "0.88"},
		{"\x1b[2J3000", "\u202eNO3", "%", "dm", "½"},
	} {
		f.Add(s[0], s[1], s[2], s[3], s[4])
	}
	f.Fuzz(func(t *testing.T, value, form, unit, basis, dm string) {
		r, qs := ration.ParseLab(value, form, unit, basis, dm)
		readable := ration.Readable(qs)
		if readable != !math.IsNaN(r.PPMN) || readable != (r.Echo != "") {
			t.Fatalf("readable %v, %g ppm, echo %q", readable, r.PPMN, r.Echo)
		}
		if readable {
			if r.PPMN < 0 || math.IsInf(r.PPMN, 0) || r.Value < 0 {
				t.Fatalf("%+v", r)
			}
			again, err := r.Figure.PPMN()
			if err != nil || again != r.PPMN {
				t.Fatalf("%+v: %g, %v", r, again, err)
			}
		}
		texts := []string{r.Echo}
		for _, q := range qs {
			if q.Text == "" || q.About == "" {
				t.Fatalf("an empty question: %+v", q)
			}
			texts = append(texts, q.Text)
		}
		for _, s := range texts {
			for _, c := range s {
				if unicode.IsControl(c) || unicode.Is(unicode.Cf, c) {
					t.Fatalf("%q lets a control character through", s)
				}
			}
		}
	})
}

func BenchmarkParseLab(b *testing.B) {
	for b.Loop() {
		ration.ParseLab("0,3 % NO3 on a dry matter basis", "", "", "", "12 % moisture")
	}
}
