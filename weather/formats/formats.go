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
	"rimegate/weather/metar"
	"rimegate/weather/nws"
	"rimegate/weather/plaincsv"
)

// Options tells a reader what the file itself does not say.
type Options = weather.Options

// Format is a reader of one published format.
type Format struct {
	Name  string // what to type
	Title string // what it is
	// sniff says why a file that begins with head is of this format, "" if not.
	sniff  func(head []byte) string
	stream func(r io.Reader, opt Options, s weather.Sink) (*weather.Result, error)
}

// all is in order of sniffing: the most particular marks first.
var all = []Format{
	{"nws", "National Weather Service observations or gridpoint forecast (GeoJSON)", nws.Sniff, nws.Stream},
	{"ghcnh", "GHCNh hourly (.psv)", ghcnh.Sniff, ghcnh.Stream},
	{"ghcnd", "GHCN-Daily (station CSV, by-year CSV, .dly)", ghcnd.Sniff, ghcnd.Stream},
	{"eccc", "Environment and Climate Change Canada bulk CSV, hourly or daily", eccc.Sniff, eccc.Stream},
	{"metar", "METAR and SPECI text", metar.Sniff, metar.Stream},
	{"plaincsv", "a table whose header names a time and a temperature", func([]byte) string { return "" }, plaincsv.Stream},
}

// All lists the formats.
func All() []Format { return append([]Format{}, all...) }

// Names lists what may be typed for a format.
func Names() []string {
	var out []string
	for _, f := range all {
		out = append(out, f.Name)
	}
	return out
}

func find(name string) (Format, error) {
	for _, f := range all {
		if strings.EqualFold(f.Name, name) {
			return f, nil
		}
	}
	return Format{}, fields.Problem{Field: "format", What: weather.Quote(name) + " is not a format", Type: "type one of " + strings.Join(Names(), ", ")}
}

// headSize is how much of a file detection looks at.
const headSize = 64 << 10

// Sniff names the format of a file by its first bytes.
func Sniff(head []byte) string {
	name, _ := sniff(head)
	return name
}

func sniff(head []byte) (name, why string) {
	head = bytes.TrimPrefix(head, []byte("\xef\xbb\xbf"))
	for _, f := range all {
		if why := f.sniff(head); why != "" {
			return f.Name, why
		}
	}
	return "plaincsv", "no mark of a published format, so it is read as a plain table"
}

// Detect names the format of a file and says why, and returns a reader of the
// whole file.
func Detect(r io.Reader) (name, why string, whole io.Reader) {
	b := bufio.NewReaderSize(r, headSize)
	head, _ := b.Peek(headSize)
	name, why = sniff(head)
	return name, why, b
}

// Read reads a file of the named format; "" detects it. Every reading is kept
// in the Result.
func Read(format string, r io.Reader, opt Options) (*weather.Result, error) {
	f, r, why, err := choose(format, r, opt)
	if err != nil {
		return nil, err
	}
	res, err := weather.Collect(func(s weather.Sink) (*weather.Result, error) { return f.stream(r, opt, s) })
	return said(res, why), err
}

// ReadNights is Read for files of any length: it keeps nights instead of
// readings.
func ReadNights(format string, r io.Reader, opt Options) (*weather.Result, error) {
	f, r, why, err := choose(format, r, opt)
	if err != nil {
		return nil, err
	}
	res, err := weather.CollectNights(opt, func(s weather.Sink) (*weather.Result, error) { return f.stream(r, opt, s) })
	return said(res, why), err
}

func choose(format string, r io.Reader, opt Options) (Format, io.Reader, string, error) {
	if err := opt.Check(); err != nil {
		return Format{}, nil, "", err
	}
	b := bufio.NewReaderSize(r, headSize)
	head, _ := b.Peek(headSize) // a reading error comes again, to the reader
	if what, do := packed(head); what != "" {
		return Format{}, nil, "", fields.Problem{What: what, Type: do}
	}
	why := ""
	if format == "" {
		format, why = sniff(head)
	}
	f, err := find(format)
	return f, b, why, err
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

func said(res *weather.Result, why string) *weather.Result {
	if res != nil && why != "" {
		res.Note("read as " + res.Format + ": " + why)
	}
	return res
}
