package paper

import (
	"bytes"
	"compress/zlib"
	"errors"
	"html"
	"io"
	"strings"

	"rimegate/hazard/board"
)

const (
	plainBegins = `<pre id="plain">`
	plainEnds   = "</pre>"
	maxPlain    = 64 << 20 // bytes of a record's text, far more than one has
)

// form is how a record was printed.
func form(b []byte) string {
	switch {
	case bytes.HasPrefix(b, []byte("%PDF-")):
		return "pdf"
	case bytes.HasPrefix(bytes.TrimLeft(b, "\ufeff \r\n"), []byte("<!DOCTYPE html>")):
		return "html"
	}
	return "text"
}

// Plain is the text that a printed record carries, in whatever form it was printed.
func Plain(b []byte) (string, error) {
	switch form(b) {
	case "html":
		_, rest, begins := strings.Cut(string(b), plainBegins)
		text, _, ends := strings.Cut(rest, plainEnds)
		if !begins || !ends {
			return "", board.ErrNoRecord
		}
		return html.UnescapeString(text), nil
	case "pdf":
		_, rest, ok := bytes.Cut(b, []byte("/Type /EmbeddedFile"))
		_, rest, ok2 := bytes.Cut(rest, []byte("stream\n"))
		if !ok || !ok2 {
			return "", board.ErrNoRecord
		}
		z, err := zlib.NewReader(bytes.NewReader(rest))
		if err != nil {
			return "", errors.Join(board.ErrNoRecord, err)
		}
		text, err := io.ReadAll(io.LimitReader(z, maxPlain))
		if err != nil {
			return "", errors.Join(board.ErrNoRecord, err)
		}
		return string(text), nil
	}
	return strings.TrimPrefix(string(b), "\ufeff"), nil
}

// mailed is a file as it is where the ends of its lines were changed on the way.
func mailed(b []byte) []byte { return bytes.ReplaceAll(b, []byte("\r\n"), []byte("\n")) }

// Shows reports that a printed record shows what the record makes in the same form: that
// nothing of the page around its text was changed.
func Shows(b []byte, r *board.Record) (bool, error) {
	same := func(write func(w io.Writer) error) (bool, error) {
		var out bytes.Buffer
		err := write(&out)
		return bytes.Equal(mailed(b), mailed(out.Bytes())), err
	}
	switch form(b) {
	case "html":
		return same(func(w io.Writer) error { return RecordHTML(w, r) })
	case "pdf":
		for _, size := range []Size{Letter, A4} {
			if ok, err := same(func(w io.Writer) error { return RecordPDF(w, r, size) }); ok || err != nil {
				return ok, err
			}
		}
		return false, nil
	}
	return true, nil
}
