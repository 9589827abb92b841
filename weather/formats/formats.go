// Package formats names the readers of published formats, tells which one a
// file wants, and calls it.
package formats

import (
	"bufio"
	"bytes"
	"io"
	"strings"

	"rimegate/fields"
	"rimegate/weather"
	"rimegate/weather/eccc"
	"rimegate/weather/ghcnd"
	"rimegate/weather/ghcnh"
	"rimegate/weather/internal/table"
	"rimegate/weather/metar"
	"rimegate/weather/nws"
	"rimegate/weather/plaincsv"
)

// Options tells a reader what the file itself does not say.
type Options = weather.Options

// all is in order of sniffing: the most particular marks first.
var all = []table.Format{nws.Format, ghcnh.Format, ghcnd.Format, eccc.Format, metar.Format, plaincsv.Format}

// Names lists what may be typed for a format.
func Names() []string {
	var out []string
	for _, f := range all {
		out = append(out, f.Key)
	}
	return out
}

// headSize is how much of a file detection looks at.
const headSize = 64 << 10

var bom = []byte("\xef\xbb\xbf")

// find returns the format of a name, or without one that of a file by its first bytes,
// and why it is that.
func find(name string, head []byte) (table.Format, string, error) {
	for _, f := range all {
		if strings.EqualFold(f.Key, name) {
			return f, "", nil
		}
		if name != "" {
			continue
		}
		if why := f.Sniff(bytes.TrimPrefix(head, bom)); why != "" {
			return f, why, nil
		}
	}
	return table.Format{}, "", fields.Problem{Field: "format", What: weather.Quote(name) + " is not a format", Type: "type one of " + strings.Join(Names(), ", ")}
}

// Read reads a file of the named format; "" detects it. Every reading is kept
// in the Result.
func Read(format string, r io.Reader, opt Options) (*weather.Result, error) {
	return read(format, r, opt, weather.Collect)
}

// ReadNights is Read for files of any length: it keeps nights instead of
// readings.
func ReadNights(format string, r io.Reader, opt Options) (*weather.Result, error) {
	return read(format, r, opt, func(stream func(weather.Sink) (*weather.Result, error)) (*weather.Result, error) {
		return weather.CollectNights(opt, stream)
	})
}

func read(name string, r io.Reader, opt Options, collect func(func(weather.Sink) (*weather.Result, error)) (*weather.Result, error)) (*weather.Result, error) {
	if err := opt.Check(); err != nil {
		return nil, err
	}
	b := bufio.NewReaderSize(r, headSize)
	head, _ := b.Peek(headSize) // a reading error comes again, to the reader
	if what, do := packed(head); what != "" {
		return nil, fields.Problem{What: what, Type: do}
	}
	f, why, err := find(name, head)
	if err != nil {
		return nil, err
	}
	res, err := collect(func(s weather.Sink) (*weather.Result, error) { return f.Stream(b, opt, s) })
	if err == nil && why != "" {
		res.Note("read as " + res.Format + ": " + why)
	}
	return res, err
}

// packed recognises files whose text lies inside something else.
func packed(head []byte) (what, do string) {
	switch {
	case bytes.HasPrefix(head, []byte{0x1f, 0x8b}):
		return "the file is compressed (gzip)", "unpack it first"
	case bytes.HasPrefix(head, []byte("PK\x03\x04")):
		return "the file is a zip archive or a workbook", "unpack it, or save the sheet as CSV UTF-8"
	case bytes.HasPrefix(head, []byte("%PDF-")):
		return "the file is a PDF", "save the table as CSV UTF-8"
	case bytes.HasPrefix(bytes.TrimSpace(head[:min(len(head), 200)]), []byte("<")):
		return "the file is a web page", "save the data itself, not the page"
	}
	return "", ""
}
