package journal

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
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

// maxSalvage bounds a file that is read at once, in bytes: some million entries.
const maxSalvage = 2 << 30

// Salvage writes, as JSON Lines by id, every entry that can still be proven to
// be as it was written, and returns what there is of others. It is for a
// damaged journal whose last copy is older than its last entries: what was
// logged since may be a frost. The file is only read, page by page, without
// bbolt; old pages count too, since an entry never changes.
//
// An entry is proven by its link and the link before it, so a damaged link
// costs two entries at most. What is missing is known by the links that are
// left, by how long the file says each chain is, and by the journal's mark; if
// anything is, the text begins with a gap that names it. The error is for files
// that cannot be read at all; of what never was a journal nothing comes out.
func (s *Store) Salvage(w io.Writer) (SalvageReport, error) {
	info, err := os.Stat(s.Path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return SalvageReport{}, missing(s.Path)
	case err != nil:
		return SalvageReport{}, notRead(s.Path, err)
	case !info.Mode().IsRegular():
		return SalvageReport{}, damaged(s.Path, "it is not an ordinary file")
	case info.Size() > maxSalvage:
		return SalvageReport{}, damaged(s.Path, "it is larger than 2 GB, more than is read back at once")
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
	g := salvager{texts: map[string][][]byte{}, links: map[spot][]link{}, length: map[string]uint64{}}
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

// spot is a place in a writer's chain.
type spot struct {
	writer string
	number uint64
}

// salvager collects everything that looks like an entry or a link. There may be
// several of one key: old pages, and what damage made of them.
type salvager struct {
	texts  map[string][][]byte // ULID -> stored forms
	links  map[spot][]link
	length map[string]uint64 // how many entries each writer's chain is said to have
	gaps   []Gap
}

// page looks through the page at the beginning of rest. Nothing in it is
// believed: not its number, not its count, not where things are.
func (g *salvager) page(rest []byte, size int64) {
	if len(rest) >= pageHead && native.Uint16(rest[8:]) == flagLeaf {
		g.leaf(rest[:min(int64(len(rest)), (int64(native.Uint32(rest[12:]))+1)*size)])
	}
}

func (g *salvager) leaf(body []byte) {
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
			if x, ok := readSeat(k, value); ok && len(x.Head) == len(noLink.head()) && strings.HasPrefix(x.Writer, key) {
				g.length[x.Writer] = max(g.length[x.Writer], x.Length)
			}
			var gap Gap
			known := func(o Gap) bool { return bytes.Equal(o.key(), k) }
			if json.Unmarshal(value, &gap) == nil && known(gap) && !slices.ContainsFunc(g.gaps, known) {
				g.gaps = append(g.gaps, gap)
			}
		default:
			name, number, ok := splitLinkKey(k)
			if at := (spot{string(name), number}); ok && link(value).sound() {
				g.links[at] = addOnce(g.links[at], value)
			}
		}
	}
}

// isID tells the key of an entry from the name of a seat.
func isID(key string) bool {
	_, err := ulid.ParseStrict(key)
	return err == nil
}

func addOnce[B ~[]byte](list []B, b B) []B {
	if slices.ContainsFunc(list, func(x B) bool { return bytes.Equal(x, b) }) {
		return list
	}
	return append(list, b)
}

// proven returns the stored form of every entry that a link vouches for, and the
// places of the chains that no link is left of.
func (g *salvager) proven() (out map[string][]byte, runs []Run, places uint64) {
	out = map[string][]byte{}
	numbers := map[string][]uint64{} // of places whose link is left, by writer
	for at, links := range g.links {
		proof := false
		befores := []link{noLink}
		if at.number > 1 {
			befores = g.links[spot{at.writer, at.number - 1}]
		}
		for _, l := range links {
			id := string(l.id())
			for _, text := range g.texts[id] {
				if slices.ContainsFunc(befores, func(before link) bool { return l.proves(before, text) }) {
					out[id], proof = text, true
				}
			}
		}
		if proof {
			g.length[at.writer] = max(g.length[at.writer], at.number)
		}
	}
	// A link that proves nothing may carry a spoilt number. Within the chain's
	// length it still names its entry.
	for at := range g.links {
		if _, known := g.length[at.writer]; known {
			numbers[at.writer] = append(numbers[at.writer], at.number)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(g.length)) {
		end := g.length[name] + 1
		next := uint64(1)
		for _, n := range append(slices.Sorted(slices.Values(numbers[name])), end) {
			if n = min(n, end); n > next {
				runs = append(runs, Run{name, next, n - 1})
				places += n - next
			}
			next = max(next, n+1)
		}
	}
	return out, runs, places
}

func (g *salvager) write(w io.Writer) (SalvageReport, error) {
	var r SalvageReport
	var proven map[string][]byte
	proven, r.Missing, r.Places = g.proven()
	ids := slices.Collect(maps.Keys(g.texts))
	for _, links := range g.links {
		for _, l := range links {
			ids = append(ids, string(l.id()))
		}
	}
	slices.Sort(ids)
	var sound []fields.Entry
	for _, id := range slices.Compact(ids) {
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
