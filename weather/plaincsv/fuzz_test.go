package plaincsv

import (
	"os"
	"path/filepath"
	"testing"

	"rimegate/weather/internal/readertest"
)

// FuzzRead starts from the golden files of every format and asks of any input
// what the readers promise: no panic, counts that add up, possible temperatures,
// printable words, and the same nights whichever way the rows are held.
func FuzzRead(f *testing.F) {
	files, err := filepath.Glob("../formats/testdata/golden/*")
	if err != nil || len(files) == 0 {
		f.Fatalf("no seeds: %v", err)
	}
	for _, name := range files {
		if filepath.Ext(name) == ".want" {
			continue
		}
		data, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	opt := readertest.Options(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		readertest.Check(t, Stream, data, opt)
	})
}
