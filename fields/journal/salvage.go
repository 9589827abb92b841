package journal

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"slices"
	"strings"

	"github.com/oklog/ulid/v2"

	"rimegate/fields"
)

// SalvageReport says what came out of a damaged file.
type SalvageReport struct {
	Proven  int     // entries written, each as it was signed
	Traces  []Trace // entries of which something is there, but no proof; by id
	Missing []Run   // places in the chains of which nothing is left, not even the id
	Places  uint64  // how many places that is
	Unsaid  bool    // no sealed mark says how far the journal was written
}

// Whole reports whether everything the file and its mark tell of came out.
func (r *SalvageReport) Whole() bool { return len(r.Traces)+len(r.Missing) == 0 }

// Trace is what is left of an entry that cannot be proven: a person may read
// it and log what they know to be true.
type Trace struct {
	ID    string
	Texts []string // the forms found, as JSON; none if only its link is left
}

// Salvage writes, as JSON Lines by id, every entry that can still be proven to
// be as it was written, and returns what there is of others. It is for a
// damaged journal whose last copy is older than its last entries: what was
// logged since may be a frost. The file is only read, page by page, without
// bbolt; old pages count too, since an entry never changes.
//
// An entry is proven by its link and the link before it, so a damaged link
// costs two entries at most. What is missing is known by the links that are
// left, by how long the file says each chain is, and by the journal's mark; if
// anything is, the text begins with a gap that names it. The error is for files that cannot be read at
// all; of a file that never was a journal nothing comes out.
func (s *Store) Salvage(w io.Writer) (SalvageReport, error) {
	if err := lookAt(s.Path); errors.Is(err, ErrMissing) {
		return SalvageReport{}, err
	}
	info, err := os.Stat(s.Path)
	if err != nil {
		return SalvageReport{}, notRead(s.Path, err)
	}
	if !info.Mode().IsRegular() {
		return SalvageReport{}, damaged(s.Path, "it is not a file of the ordinary kind")
	}
	data, err := os.ReadFile(s.Path)
	if err != nil {
		return SalvageReport{}, notRead(s.Path, err)
	}
	h, _ := readHeader(bytes.NewReader(data), int64(len(data)))
	size := h.pageSize
	if size < 512 || size > 1<<24 {
		size = max(4096, int64(os.Getpagesize())) // the header that knew it is lost
	}
	g := gleaner{texts: map[string][][]byte{}, links: map[string][][]byte{}, length: map[string]uint64{}}
	for at := int64(0); at < int64(len(data)); at += size {
		g.page(data[at:], size)
	}
	m, _ := readMark(s.Path)
	if m != nil {
		for name, t := range m.Done.Writers {
			g.length[name] = max(g.length[name], t.Length)
		}
	}
	r, err := g.write(w)
	r.Unsaid = m == nil
	return r, err
}

// gleaner collects everything that looks like an entry or a link, by key.
// There may be several of one key: old pages, and what damage made of them.
type gleaner struct {
	texts map[string][][]byte // ULID -> stored forms
	links map[string][][]byte // writer and number -> ULID and hash
	// length is how many entries each writer's chain is said to have.
	length  map[string]uint64
	numbers map[string][]uint64 // links found, by writer
	gaps    []Gap
}

// page looks through the page at the beginning of rest. Nothing in it is
// believed: not its number, not its count, not where things are.
func (g *gleaner) page(rest []byte, size int64) {
	if len(rest) >= pageHead && native.Uint16(rest[8:]) == flagLeaf {
		g.leaf(rest[:min(int64(len(rest)), (int64(native.Uint32(rest[12:]))+1)*size)])
	}
}

func (g *gleaner) leaf(body []byte) {
	for i := range int(native.Uint16(body[10:])) {
		k, value, bucket, ok := leafElement(body, i)
		key := string(k)
		switch {
		case !ok || len(value) == 0:
		case bucket:
			if len(value) >= bucketHead+pageHead && native.Uint64(value) == 0 {
				g.leaf(value[bucketHead:])
			}
		case isID(key) && value[0] == '{':
			g.texts[key] = addOnce(g.texts[key], value)
		case value[0] == '{':
			var x writer
			if json.Unmarshal(value, &x) == nil && x.Writer != "" && len(x.Head) == 2*sha256.Size && strings.HasPrefix(x.Writer, key) {
				g.length[x.Writer] = max(g.length[x.Writer], x.Length)
			}
			var gap Gap
			if json.Unmarshal(value, &gap) == nil && string(gap.key()) == key && !slices.ContainsFunc(g.gaps, func(o Gap) bool { return bytes.Equal(o.key(), k) }) {
				g.gaps = append(g.gaps, gap)
			}
		default:
			_, _, isKey := splitLinkKey(k)
			if _, _, isLink := splitLink(value); isKey && isLink {
				g.links[key] = addOnce(g.links[key], value)
			}
		}
	}
}

// isID tells the key of an entry from the name of a seat.
func isID(key string) bool {
	_, err := ulid.ParseStrict(key)
	return err == nil
}

func addOnce(list [][]byte, b []byte) [][]byte {
	if slices.ContainsFunc(list, func(x []byte) bool { return bytes.Equal(x, b) }) {
		return list
	}
	return append(list, b)
}

// proven returns the stored form of every entry that a link vouches for.
func (g *gleaner) proven() map[string][]byte {
	out := map[string][]byte{}
	g.numbers = map[string][]uint64{}
	for key, links := range g.links {
		name, number, _ := splitLinkKey([]byte(key))
		proof := false
		befores := [][]byte{noHash[:]}
		if number > 1 {
			befores = nil
			for _, l := range g.links[string(linkKey(name, number-1))] {
				_, hash, _ := splitLink(l)
				befores = append(befores, hash)
			}
		}
		for _, l := range links {
			id, hash, _ := splitLink(l)
			for _, text := range g.texts[string(id)] {
				for _, before := range befores {
					if got := linkHash(before, id, text); bytes.Equal(got[:], hash) {
						out[string(id)], proof = text, true
					}
				}
			}
		}
		// A link that proves nothing may carry a spoilt number. Within the
		// chain's length it still names its entry.
		if _, known := g.length[name]; proof || known {
			g.numbers[name] = append(g.numbers[name], number)
		}
		if proof {
			g.length[name] = max(g.length[name], number)
		}
	}
	return out
}

// missing returns the places of the chains that no link is left of.
func (g *gleaner) missing() (runs []Run, places uint64) {
	for _, name := range slices.Sorted(maps.Keys(g.length)) {
		have := g.numbers[name]
		slices.Sort(have)
		next := uint64(1)
		for _, n := range append(have, g.length[name]+1) {
			if n > g.length[name]+1 {
				break
			}
			if n > next {
				runs = append(runs, Run{name, next, n - 1})
				places += n - next
			}
			next = max(next, n+1)
		}
	}
	return runs, places
}

func (g *gleaner) write(w io.Writer) (SalvageReport, error) {
	var r SalvageReport
	proven := g.proven()
	named := map[string]bool{}
	for id := range g.texts {
		named[id] = true
	}
	for _, links := range g.links {
		for _, l := range links {
			named[string(l[:26])] = true
		}
	}
	var sound []fields.Entry
	for _, id := range slices.Sorted(maps.Keys(named)) {
		if text, ok := proven[id]; ok {
			if e, probs := fields.DecodeEntry(text); len(probs) == 0 && e.ID == id {
				sound = append(sound, *e)
				continue
			}
		}
		trace := Trace{ID: id}
		for _, text := range g.texts[id] {
			trace.Texts = append(trace.Texts, string(text))
		}
		r.Traces = append(r.Traces, trace)
	}
	r.Missing, r.Places = g.missing()
	if !r.Whole() {
		gap := Gap{What: "it was salvaged from a damaged one", Runs: r.Missing}
		for _, t := range r.Traces {
			gap.IDs = append(gap.IDs, t.ID)
		}
		g.gaps = append(g.gaps, gap)
	}
	if err := errors.Join(writeGaps(w, g.gaps), fields.WriteJSONL(w, sound)); err != nil {
		return r, fmt.Errorf("the entries could not be written (%w)", Cause(err))
	}
	r.Proven = len(sound)
	return r, nil
}
