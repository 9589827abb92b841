package journal

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"iter"
	"strings"
	"time"

	"go.etcd.io/bbolt"

	"rimegate/fields"
)

// Gap says that entries are known to be missing from a journal: one that was
// made of a damaged file, or an older copy that was brought back. It stays in
// the journal, goes along with its exports and merges, and is said on every
// list until somebody accepts it; a check says it for good. A gap of which every
// entry is known by its id is closed once all of them are there again.
type Gap struct {
	What string    `json:"what"`          // how it came about, in words
	IDs  []string  `json:"ids,omitempty"` // missing entries known by id
	Runs []Run     `json:"runs,omitempty"`
	By   string    `json:"by,omitempty"` // who accepted it
	At   time.Time `json:"at,omitzero"`
	Why  string    `json:"because,omitempty"`
}

// Accepted reports whether somebody answers for going on without the entries.
func (g *Gap) Accepted() bool { return g.By != "" }

// key names the gap in the journal, whoever accepted it.
func (g *Gap) key() []byte {
	bare := Gap{What: g.What, IDs: g.IDs, Runs: g.Runs}
	text, _ := json.Marshal(bare)
	sum := sha256.Sum256(text)
	return []byte(gapKey + hex.EncodeToString(sum[:12]))
}

const gapKey = "gap:"

// Words says what is missing, given the ids that are there; "" if all is there.
func (g *Gap) Words(have func(id string) bool) string {
	var ids []string
	for _, id := range g.IDs {
		if !have(id) {
			ids = append(ids, id)
		}
	}
	if len(ids) == 0 && len(g.Runs) == 0 {
		return ""
	}
	var parts []string
	if n := len(ids); n > 0 {
		shown := ids[:min(n, 20)]
		text := strings.Join(shown, ", ")
		if n > len(shown) {
			text += fmt.Sprintf(" and %d more", n-len(shown))
		}
		parts = append(parts, text)
	}
	if len(g.Runs) > 0 {
		parts = append(parts, runsWords(g.Runs))
	}
	text := "entries are missing from this journal (" + g.What + "): " + strings.Join(parts, "; ")
	if g.Accepted() {
		text += fmt.Sprintf("; accepted by %q on %s: %s", g.By, g.At.Format("Mon 2 Jan 2006"), g.Why)
	}
	return text
}

// gapsOf reads the gaps of a journal.
func gapsOf(path string, tx *bbolt.Tx) ([]Gap, error) {
	var out []Gap
	for k, v := range gapsIn(tx) {
		var g Gap
		if json.Unmarshal(v, &g) != nil || !bytes.Equal(g.key(), k) {
			return nil, damaged(path, "what it says of its missing entries cannot be read")
		}
		out = append(out, g)
	}
	return out, nil
}

// gapsIn yields the gaps as they are stored.
func gapsIn(tx *bbolt.Tx) iter.Seq2[[]byte, []byte] {
	return func(yield func(k, v []byte) bool) {
		c := tx.Bucket(bucketMeta).Cursor()
		for k, v := c.Seek([]byte(gapKey)); bytes.HasPrefix(k, []byte(gapKey)) && yield(k, v); k, v = c.Next() {
		}
	}
}

// putGap stores a gap; one that is there is changed only by being accepted.
func putGap(tx *bbolt.Tx, g Gap) (changed bool, err error) {
	meta := tx.Bucket(bucketMeta)
	if was := meta.Get(g.key()); was != nil {
		var old Gap
		if json.Unmarshal(was, &old) == nil && (old.Accepted() || !g.Accepted()) {
			return false, nil
		}
	}
	text, err := json.Marshal(g)
	if err != nil {
		return false, err
	}
	return true, meta.Put(g.key(), text)
}

// gapLine begins the line of a text that tells of a gap; the other lines are entries.
var gapLine = []byte(`{"gap":`)

type gapText struct {
	Gap *Gap `json:"gap"`
}

func writeGaps(w io.Writer, gaps []Gap) error {
	for i := range gaps {
		text, err := json.Marshal(gapText{&gaps[i]})
		if err != nil {
			return err
		}
		if _, err := w.Write(append(fields.EscapeUnseen(text), '\n')); err != nil {
			return err
		}
	}
	return nil
}

// maxText bounds a text that is read, in bytes: some 500,000 entries.
const maxText = 256 << 20

// ReadText reads what Export and Salvage write: JSON Lines of entries, and of
// the gaps among them. Errors are those of fields.ReadJSONL.
func ReadText(r io.Reader) ([]fields.Entry, []Gap, error) {
	text, err := io.ReadAll(io.LimitReader(r, maxText+1))
	if err != nil {
		return nil, nil, err
	}
	if len(text) > maxText {
		return nil, nil, fields.Problems{{What: fmt.Sprintf("the text is longer than %d MB", maxText>>20), Type: "split it between two lines"}}
	}
	var gaps []Gap
	var bad fields.Problems
	var lines []byte // of entries; those of gaps are left empty
	n := 0
	for line := range bytes.Lines(bytes.TrimPrefix(text, []byte("\xef\xbb\xbf"))) { // the mark of an editor
		n++
		if !bytes.HasPrefix(line, gapLine) {
			lines = append(lines, line...)
			continue
		}
		lines = append(lines, '\n')
		if g := readGap(line); g != nil {
			gaps = append(gaps, *g)
		} else {
			bad = append(bad, fields.Problem{Line: n, Field: "gap", What: "cannot be read", Type: "take the line as the export wrote it"})
		}
	}
	entries, err := fields.ReadJSONL(bytes.NewReader(lines))
	if len(bad) == 0 {
		return entries, gaps, err
	}
	var more fields.Problems
	errors.As(err, &more)
	return nil, nil, append(bad, more...)
}

// readGap reads the line of a gap, nil if it is none.
func readGap(text []byte) *Gap {
	var line gapText
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.DisallowUnknownFields()
	if dec.Decode(&line) != nil || dec.Decode(&struct{}{}) != io.EOF || line.Gap == nil || line.Gap.What == "" || len(line.Gap.IDs)+len(line.Gap.Runs) == 0 {
		return nil
	}
	return line.Gap
}

// Accept records that somebody goes on with this journal although entries are
// known to be missing: an older copy that was brought back by hand, or what was
// made of a damaged file. It returns the gaps it was about; with none, nothing
// is stored. A file that is itself damaged is not accepted.
func (s *Store) Accept(by, why string, at time.Time) ([]Gap, error) {
	// Read whole and verified first, all but its mark.
	x, err := s.examine()
	if err != nil {
		return nil, err
	}
	if x.snap == nil || x.metas < 2 {
		return nil, damaged(s.Path, "the file itself is, see `rimegate journal check`, so it cannot be accepted")
	}
	if _, err := s.content(x.snap); err != nil {
		return nil, err
	}
	// The mark is left as it is until the gap is in the journal.
	var out []Gap
	_, err = s.commit(0, func(tx *bbolt.Tx, v *verdict) (*mark, error) {
		if v.head.metas < 2 {
			return nil, damaged(s.Path, "%s", v.bad)
		}
		gaps, err := gapsOf(s.Path, tx)
		if err != nil {
			return nil, err
		}
		if v.older {
			g := Gap{What: "an older copy was brought back", Runs: v.lost}
			if len(g.Runs) == 0 { // others stand in their place, or what is lost was no entry
				g.Runs = v.mark.Done.apart(&v.now)
			}
			gaps = append(gaps, g)
		}
		for _, g := range gaps {
			if g.Accepted() {
				continue
			}
			g.By, g.Why, g.At = by, why, at
			if _, err := putGap(tx, g); err != nil {
				return nil, err
			}
			out = append(out, g)
		}
		if len(out) == 0 {
			return nil, errNothing
		}
		return nil, nil
	})
	if err != nil {
		return nil, err
	}
	return out, nil
}

// apart returns the whole chains of s, as far as they are not those of now:
// nothing tells where they part.
func (s *state) apart(now *state) []Run {
	var out []Run
	for w, t := range s.Writers {
		if t.Length > 0 && now.Writers[w] != t {
			out = append(out, Run{w, 1, t.Length})
		}
	}
	return out
}
