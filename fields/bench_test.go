package fields

import (
	"encoding/json"
	"fmt"
	"testing"
)

// BenchmarkDecodeEntry compares reading a journal's entries with encoding/json alone reading
// the same texts into maps.
func BenchmarkDecodeEntry(b *testing.B) {
	for _, text := range [][]byte{
		[]byte(`{"id":"01J8ZZZZZZZZZZZZZZZZZZ0001","kind":"reading","recorded":"2026-09-02T14:00:00Z","by":"Maren","station":"s0001","night":"2026-09-02","low_c":-1.3,"covers":true,"source":"logger"}`),
		[]byte(`{"id":"01J8ZZZZZZZZZZZZZZZZZZ0002","kind":"walk","recorded":"2026-09-05T18:00:00Z","by":"Maren","paddock":"p00007","killed":"none","frost_damage":"none","shortest_cm":88,"stress_free":true,"weeds_checked":true,"on":"2026-09-05"}`),
		[]byte(`{"id":"01J8ZZZZZZZZZZZZZZZZZZ0003","kind":"frost","recorded":"2026-09-18T18:00:00Z","by":"Maren","paddocks":["p00007","p00008"],"night":"2026-09-18","low_c":-2}`),
	} {
		e, ps := DecodeEntry(text)
		if len(ps) > 0 {
			b.Fatal(ps)
		}
		b.Run(fmt.Sprint(e.Kind(), "/entry"), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, ps := DecodeEntry(text); len(ps) > 0 {
					b.Fatal(ps)
				}
			}
		})
		b.Run(fmt.Sprint(e.Kind(), "/map"), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				var m map[string]any
				if err := json.Unmarshal(text, &m); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
