package formats

import (
	"bytes"
	"io"

	"rimegate/fields"
	"rimegate/weather"
)

// maxWhole bounds a file that is read to its end before it is taken: 500 years of hours.
const maxWhole = 256 << 20

// WholeLines returns a text up to the end of its last line that has one, and how many
// bytes are left: a file that somebody is still writing may end in half a number.
// JSON, which is whole or is refused, passes as it is.
func WholeLines(r io.Reader) (whole io.Reader, left int, err error) {
	text, err := io.ReadAll(io.LimitReader(r, maxWhole+1))
	switch {
	case err != nil:
		return nil, 0, fields.Problem{What: "the file could not be read to its end: " + weather.Clean(err.Error(), 80)}
	case len(text) > maxWhole:
		return nil, 0, fields.Problem{What: "the file is larger than 256 MB", Type: "bring it in by itself, without --watch"}
	}
	end := bytes.LastIndexAny(text, "\n\r") + 1
	if bytes.HasPrefix(bytes.TrimSpace(bytes.TrimPrefix(text, bom)), []byte("{")) {
		end = len(text)
	}
	return bytes.NewReader(text[:end]), len(bytes.TrimSpace(text[end:])), nil
}
