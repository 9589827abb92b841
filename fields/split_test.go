package fields

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"
)

// FuzzCut holds the fast way through an object, a list and a text against the
// general decoder.
func FuzzCut(f *testing.F) {
	for _, s := range []string{
		`{}`, ` { } `, `{"a":1}`, `{"a" : "b,}]" , "c":[1,{"d":"]"},[]],"e":null}`, `{"a":"\\\"}","b":-1.5e+3}`, `{"a":1,"a":2}`, `{"\u0061":1}`,
		`{"a":tru}`, `{"a":1}x`, `{"a":1`, `[1,"a",{"b":[2]},null,true]`, `[]`, ` [ ] `, `["\u00e9","é"]`, `"x"`, `"\ud800"`, `""`, `12`, `{"a":1,}`, `{"a":{"a":{}}}`,
	} {
		f.Add(s)
	}
	f.Add(manyFields())
	f.Fuzz(func(t *testing.T, s string) {
		if !utf8.ValidString(s) {
			return // refused before anything is cut
		}
		text := []byte(s)
		o, twice, isObject := cutObject(raw(text), nil)
		wantRaw, wantOrder, wantTwice := generalCut(text)
		var order []string
		for _, m := range o {
			order = append(order, m.name)
			if string(m.value) != string(wantRaw[m.name]) {
				t.Fatalf("%q: field %q is %q, the general way %q", s, m.name, m.value, wantRaw[m.name])
			}
		}
		if isObject != (wantRaw != nil) || !slices.Equal(order, wantOrder) || !slices.Equal(twice, wantTwice) {
			t.Fatalf("%q: %v %v, the general way %v %v %v", s, o, twice, wantRaw, wantOrder, wantTwice)
		}
		if !json.Valid(text) {
			return
		}
		trimmed := json.RawMessage(strings.Trim(s, " \t\r\n"))
		var wantList []json.RawMessage
		cut, ok := cutList(raw(trimmed))
		var list []json.RawMessage
		for _, v := range cut {
			list = append(list, json.RawMessage(v))
		}
		if wantOK := json.Unmarshal(trimmed, &wantList) == nil && wantList != nil; ok != wantOK {
			t.Fatalf("%q: a list %v, the general way %v", s, ok, wantOK)
		} else if ok && (len(list) != len(wantList) || len(list) > 0 && !reflect.DeepEqual(list, wantList)) {
			t.Fatalf("%q: %q, the general way %q", s, list, wantList)
		}
		var want any
		_ = json.Unmarshal(trimmed, &want)
		wantText, wantOK := want.(string)
		if got, ok := cutText(raw(trimmed)); ok != wantOK || got != wantText {
			t.Fatalf("%q: text %q %v, the general way %q %v", s, got, ok, wantText, wantOK)
		}
	})
}

// manyFields is an object of more fields than any entry has, one of them twice.
func manyFields() string {
	var b strings.Builder
	for i := range 2 * manyMembers {
		fmt.Fprintf(&b, `,"%d":%d`, i, i)
	}
	return `{"5":0` + b.String() + `,"99":1}`
}

// generalCut is cutObject by the general decoder, token by token.
func generalCut(text []byte) (raw map[string]json.RawMessage, order, twice []string) {
	dec := json.NewDecoder(bytes.NewReader(text))
	if t, err := dec.Token(); err != nil || t != json.Delim('{') {
		return nil, nil, nil
	}
	raw = map[string]json.RawMessage{}
	for dec.More() {
		key, err := dec.Token()
		var r json.RawMessage
		if err != nil || dec.Decode(&r) != nil {
			return nil, nil, nil
		}
		name, ok := key.(string)
		if !ok {
			return nil, nil, nil
		}
		if _, again := raw[name]; again {
			twice = append(twice, name)
			continue
		}
		raw[name] = r
		order = append(order, name)
	}
	if _, err := dec.Token(); err != nil {
		return nil, nil, nil
	}
	if _, err := dec.Token(); err != io.EOF {
		return nil, nil, nil
	}
	return raw, order, twice
}

// FuzzAppendValue holds the written forms against the general encoder.
func FuzzAppendValue(f *testing.F) {
	for _, n := range []float64{0, math.Copysign(0, -1), 1e-6, 9.99e-7, 1e21, 1e20, 123456789.125, -2.5, 5e-324, math.MaxFloat64} {
		f.Add("plain", n, int32(20000))
	}
	for _, s := range []string{"", `"`, `\`, "\x7f", "\x00", "é", "<&>", "\u2028", "\xff"} {
		f.Add(s, 1.0, int32(-20000))
	}
	f.Fuzz(func(t *testing.T, s string, n float64, d int32) {
		if math.IsNaN(n) || math.IsInf(n, 0) {
			return
		}
		b := d%2 == 0
		for _, v := range []any{s, &n, &b, Date(d % 80_000)} {
			if got, want := string(appendValue(nil, v)), string(jsonValue(v)); got != want {
				t.Fatalf("%v: %s, the general way %s", v, got, want)
			}
		}
	})
}

// Land fenced anew again and again is followed in as many steps as there were fences.
func TestBecame(t *testing.T) {
	var h History
	fence := func(from, into []string) { h.reshapes = append(h.reshapes, reshape{Date(len(h.reshapes)), from, into}) }
	fence([]string{"home"}, []string{"east", "west"})
	for range 40 {
		fence([]string{"east", "west"}, []string{"whole"})
		fence([]string{"whole"}, []string{"east", "west"})
	}
	for by, want := range map[Date]string{-1: "[home]", 0: "[east west]", 1: "[whole]", 79: "[whole]", 80: "[east west]"} {
		if got := fmt.Sprint(h.Became("home", by)); got != want {
			t.Errorf("by %d home had become %s, want %s", by, got, want)
		}
	}
	if got := fmt.Sprint(h.Became("whole", 79), h.Became("whole", 80), h.Became("brook", 80)); got != "[whole] [east west] [brook]" {
		t.Error(got)
	}
}
