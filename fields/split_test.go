package fields

import (
	"encoding/json"
	"math"
	"reflect"
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
	f.Fuzz(func(t *testing.T, s string) {
		if !utf8.ValidString(s) {
			return // refused before anything is cut
		}
		text := []byte(s)
		raw, order, ok := cutObject(text)
		if ok {
			wantRaw, wantOrder, ps := objectWithWords(text)
			if len(ps) > 0 || !reflect.DeepEqual(order, wantOrder) && len(order)+len(wantOrder) > 0 || len(raw) != len(wantRaw) {
				t.Fatalf("%q: %v %v, the general way %v %v %v", s, raw, order, wantRaw, wantOrder, ps)
			}
			for k, v := range raw {
				if string(v) != string(wantRaw[k]) {
					t.Fatalf("%q: field %q is %q, the general way %q", s, k, v, wantRaw[k])
				}
			}
		}
		if !json.Valid(text) {
			if ok {
				t.Fatalf("%q is no JSON", s)
			}
			return
		}
		var m map[string]json.RawMessage
		if plain := !strings.Contains(s, `\`); plain && !ok && json.Unmarshal(text, &m) == nil && m != nil && strings.Count(s, ":") == len(m) {
			t.Fatalf("%q is plain and went the slow way", s)
		}
		trimmed := json.RawMessage(strings.Trim(s, " \t\r\n"))
		var wantList []json.RawMessage
		list, ok := cutList(trimmed)
		if wantOK := json.Unmarshal(trimmed, &wantList) == nil && wantList != nil; ok != wantOK {
			t.Fatalf("%q: a list %v, the general way %v", s, ok, wantOK)
		} else if ok && (len(list) != len(wantList) || len(list) > 0 && !reflect.DeepEqual(list, wantList)) {
			t.Fatalf("%q: %q, the general way %q", s, list, wantList)
		}
		var want any
		_ = json.Unmarshal(trimmed, &want)
		wantText, wantOK := want.(string)
		if got, ok := cutText(trimmed); ok != wantOK || got != wantText {
			t.Fatalf("%q: text %q %v, the general way %q %v", s, got, ok, wantText, wantOK)
		}
	})
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
