// Package anyentry makes random but possible entries of every kind, for tests
// that must hold for all of them. It reads the same struct tags as the codec,
// so that a new field is covered without a change here.
package anyentry

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"time"

	"rimegate/fields"
)

// Source draws a number from 0 to n-1. *math/rand/v2.Rand is one; a property
// test can put its own draws behind it.
type Source interface{ IntN(n int) int }

// Of returns a possible entry of kind k: fields.Check has nothing against it.
// Optional fields are left out about every second time.
func Of(src Source, k fields.Kind) fields.Entry {
	g := gen{src}
	e := fields.Entry{
		ID:       g.ulid(),
		Recorded: g.instant(),
		By:       g.text(true),
		On:       g.date(),
		Body:     fields.NewBody(k),
	}
	if g.coin() {
		e.At = g.instant()
	}
	if g.coin() {
		e.Note = g.text(false)
	}
	if e.Kind() != fields.KindStrike && g.IntN(4) == 0 {
		e.Batch = g.ulid()
	}
	g.body(reflect.ValueOf(e.Body).Elem())
	g.agree(&e)
	return e
}

// Any returns a possible entry of any kind.
func Any(src Source) fields.Entry {
	ks := fields.Kinds()
	return Of(src, ks[src.IntN(len(ks))])
}

type gen struct{ Source }

func (g gen) coin() bool { return g.IntN(2) == 0 }

func (g gen) pick(list ...string) string { return list[g.IntN(len(list))] }

const crockford = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"

func (g gen) ulid() string {
	b := make([]byte, 26)
	for i := range b {
		b[i] = crockford[g.IntN(32)]
	}
	b[0] = crockford[g.IntN(8)]
	return string(b)
}

// Words that have hurt other programs: quotes, brackets, escapes, a formula,
// line ends, right-to-left text, a zero byte, a replacement character.
var words = []string{
	"oats", "north slough", "Süd-Weide", "луг", "牧場", "🐄", `say "when"`, `back\slash`, "[red]", "<b>&amp;", "=1+1",
	"two\nlines", "tab\there", "\u2028", "\u202e", "\x00", "\x1b[31m", "\ufffd", "null", "-0", "  ", "'", "%s",
}

func (g gen) text(needed bool) string {
	n := g.IntN(4)
	if needed {
		n++
	}
	parts := make([]string, n)
	for i := range parts {
		parts[i] = words[g.IntN(len(words))]
	}
	s := strings.Join(parts, " ")
	if needed && strings.TrimSpace(s) == "" {
		return "somebody"
	}
	return s
}

func (g gen) ref() string {
	return g.pick("north", "creek", "hill", "p", "7", "süd") + g.pick("", "-1", "_b", ".x", "-slough")
}

func (g gen) date() fields.Date {
	return fields.MakeDate(2020, 1, 1).Add(g.IntN(4000))
}

func (g gen) instant() time.Time {
	offset := []int{0, -6 * 3600, -7 * 3600, 9*3600 + 1800, 13 * 3600, -(3*3600 + 1800)}[g.IntN(6)]
	t := time.Unix(1577836800+int64(g.IntN(300_000_000)), 0)
	if g.coin() {
		t = t.Add(time.Duration(g.IntN(1_000_000_000)))
	}
	if offset == 0 {
		return t.UTC()
	}
	return t.In(time.FixedZone("", offset))
}

func (g gen) number(tag reflect.StructTag) float64 {
	lo, _ := strconv.ParseFloat(tag.Get("lo"), 64)
	hi, _ := strconv.ParseFloat(tag.Get("hi"), 64)
	switch g.IntN(4) {
	case 0:
		return lo
	case 1:
		return hi
	}
	n := lo + (hi-lo)*float64(g.IntN(100_001))/100_000
	if n == 0 {
		n = 0 // never -0, which the codec writes as 0
	}
	return n
}

func (g gen) body(v reflect.Value) {
	t := v.Type()
	groups := map[string][]int{}
	for i := range t.NumField() {
		f := t.Field(i)
		if f.Tag.Get("json") == "" {
			continue
		}
		switch need := f.Tag.Get("need"); {
		case need == "*" || need == "" && g.coin():
			g.fill(v.Field(i), f.Tag)
		case need != "" && need != "*":
			groups[need] = append(groups[need], i)
		}
	}
	for _, name := range []string{"place", "low", "night", "what", "rate"} { // a fixed order, so that a seed says everything
		list := groups[name]
		if len(list) == 0 {
			continue
		}
		must := g.IntN(len(list))
		for n, i := range list {
			if n == must || g.coin() {
				g.fill(v.Field(i), t.Field(i).Tag)
			}
		}
		delete(groups, name)
	}
	if len(groups) > 0 {
		panic(fmt.Sprintf("anyentry: no order for the groups of %v", t))
	}
}

func (g gen) word(tag reflect.StructTag) string {
	switch {
	case tag.Get("one") != "":
		return g.pick(strings.Split(tag.Get("one"), "|")...)
	case tag.Get("ref") == "id":
		return g.ref()
	}
	return g.text(true)
}

func (g gen) fill(v reflect.Value, tag reflect.StructTag) {
	set := func(x any) { v.Set(reflect.ValueOf(x)) }
	if v.Kind() == reflect.String {
		v.SetString(g.word(tag))
		return
	}
	switch v.Interface().(type) {
	case *float64:
		n := g.number(tag)
		set(&n)
	case []fields.Value:
		vs := make([]fields.Value, 1+g.IntN(3))
		for i := range vs {
			vs[i] = fields.Value{N: g.number(tag), Below: g.IntN(4) == 0}
		}
		set(vs)
	case []fields.Span:
		list := make([]fields.Span, 1+g.IntN(3))
		for i := range list {
			list[i].From = g.instant()
			list[i].To = list[i].From.Add(time.Duration(1+g.IntN(3600)) * time.Second)
		}
		set(list)
	case *bool:
		b := g.coin()
		set(&b)
	case fields.Date:
		set(g.date())
	case time.Time:
		set(g.instant())
	case []string:
		list := []string{}
		for range 1 + g.IntN(4) {
			if s := g.word(tag); !has(list, s) {
				list = append(list, s)
			}
		}
		if name := tag.Get("json"); (name == "alive" || name == "absent") && g.IntN(4) == 0 {
			list = []string{} // looked, found none
		}
		set(list)
	case []fields.SpeciesShare:
		list := []fields.SpeciesShare{}
		for range g.IntN(4) {
			s := fields.SpeciesShare{Species: g.text(true)}
			if g.coin() {
				n := float64(g.IntN(1001)) / 10
				s.Share = &n
			}
			list = append(list, s)
		}
		set(list)
	case *fields.Watch:
		day := func() fields.MonthDay {
			return fields.MonthDay{Month: time.Month(1 + g.IntN(12)), Day: 1 + g.IntN(28)}
		}
		w := &fields.Watch{From: day(), To: day()}
		if g.coin() {
			w.Record = &fields.WatchRecord{Station: g.text(true), Seasons: 1 + g.IntN(90), FromYear: 1900, ToYear: 2020}
			for range 1 + g.IntN(2) {
				w.Record.Lines = append(w.Record.Lines, fields.WatchLine{LineC: float64(g.IntN(100)) / 10, Earliest: day(), Latest: day()})
			}
		}
		set(w)
	case *fields.Contacts:
		set(&fields.Contacts{Manager: g.text(false), Backup: g.text(false), Vet: g.text(false)})
	case *fields.RuleValue:
		if g.coin() {
			set(&fields.RuleValue{Word: g.text(true)})
			return
		}
		n := float64(g.IntN(20001)-10000) / 8
		set(&fields.RuleValue{Number: &n})
	default:
		panic("anyentry: no values for " + v.Type().String())
	}
}

// agree makes fields that bear on each other possible together.
func (g gen) agree(e *fields.Entry) {
	after := func(d fields.Date) fields.Date { return d.Add(g.IntN(200)) }
	switch b := e.Body.(type) {
	case *fields.Farm:
		b.Zone = g.pick("America/Regina", "America/Chicago", "Europe/Berlin", "Australia/Lord_Howe", "UTC")
	case *fields.PaddockFacts:
		if b.OffsetC != nil {
			n := -float64(g.IntN(100)+1) / 10
			b.OffsetC = &n
		}
	case *fields.Split:
		b.From, b.Into = []string{"whole"}, []string{"east", "west"}
	case *fields.Join:
		b.From, b.Into = []string{"east", "west", "middle"}, []string{"whole"}
	case *fields.NoFrost:
		b.To = after(b.From)
	case *fields.Nitrogen:
		unsaid := b.KgNHa == nil
		if b.RateUnknown != nil {
			b.RateUnknown = &unsaid
		}
	case *fields.Reading:
		for i := range b.Spans {
			b.Spans[i].From = b.Night.At(g.IntN(12), g.IntN(60), time.UTC)
			b.Spans[i].To = b.Spans[i].From.Add(time.Hour)
		}
		if b.LowC != nil && b.BelowZero != nil {
			below := *b.LowC <= 0
			b.BelowZero = &below
		}
	case *fields.Fed:
		if b.To != fields.NoDate {
			b.To = after(b.From)
		}
	case *fields.Walk:
		if b.DamageNight != fields.NoDate {
			b.DamageNight = e.On.Add(-g.IntN(30))
		}
	case *fields.Lab:
		b.Form = ""
		if b.Analyte == "nitrate" {
			b.Form = fields.Form(g.pick("NO3", "NO3-N", "KNO3", "NaNO3"))
			if b.Basis == "as-fed" && b.DMPct == nil {
				dm := float64(10 + g.IntN(85))
				b.DMPct = &dm
			}
		}
		if b.Unit == "%" {
			for i := range b.Values {
				b.Values[i].N = float64(g.IntN(1001)) / 100
			}
		}
	case *fields.Vet:
		if b.Advice == "may-graze" || b.Until != fields.NoDate {
			b.Until = after(e.On)
		}
	case *fields.Strike:
		if b.Entry != "" {
			b.Entry, b.Batch = g.ulid(), ""
		} else {
			b.Batch = g.ulid()
		}
	}
}

func has(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}
