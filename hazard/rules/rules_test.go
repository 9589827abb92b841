package rules

import "testing"

func TestEmbeddedRulebookIsSound(t *testing.T) {
	_, ps := load(files)
	for _, p := range ps {
		t.Error(p)
	}
}

func BenchmarkLoad(b *testing.B) {
	for b.Loop() {
		load(files)
	}
}
