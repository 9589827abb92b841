package journal

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"sort"

	"rimegate/fields"
)

// SalvageReport says what came out of a damaged file.
type SalvageReport struct {
	Proven int     // entries written, each as it was signed
	Traces []Trace // entries of which something is there, but no proof; by id
}

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
// costs two entries at most. The error is for files that cannot be read at
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
		size = 4096 // of nearly every machine; the header that knew it is lost
		if own := int64(os.Getpagesize()); own > size {
			size = own
		}
	}
	g := gleaner{texts: map[string][][]byte{}, links: map[string][][]byte{}}
	for at := int64(0); at < int64(len(data)); at += size {
		g.page(data[at:], size)
	}
	return g.write(w)
}

// gleaner collects everything that looks like an entry or a link, by key.
// There may be several of one key: old pages, and what damage made of them.
type gleaner struct {
	texts map[string][][]byte // ULID -> stored forms
	links map[string][][]byte // writer and number -> ULID and hash
}

// page looks through the page at the beginning of rest. Nothing in it is
// believed: not its number, not its count, not where things are.
func (g *gleaner) page(rest []byte, size int64) {
	if len(rest) < pageHead || native.Uint16(rest[8:]) != flagLeaf {
		return
	}
	run := min(int64(len(rest)), (int64(native.Uint32(rest[12:]))+1)*size)
	g.leaf(rest[:run])
}

func (g *gleaner) leaf(body []byte) {
	for i := range int(native.Uint16(body[10:])) {
		at := pageHead + i*elemSize
		if at+elemSize > len(body) {
			return
		}
		e := body[at:]
		flags, pos, ksize, vsize := native.Uint32(e), native.Uint32(e[4:]), native.Uint32(e[8:]), native.Uint32(e[12:])
		if !inside(at, pos, ksize, vsize, len(body)) {
			continue
		}
		key := string(e[pos:][:ksize])
		value := e[int(pos)+int(ksize):][:vsize]
		switch {
		case flags&elemBucket != 0:
			if len(value) >= bucketHead+pageHead && native.Uint64(value) == 0 {
				g.leaf(value[bucketHead:])
			}
		case len(key) == 26 && len(value) > 0 && value[0] == '{':
			g.texts[key] = addOnce(g.texts[key], value)
		default:
			_, _, isKey := splitLinkKey([]byte(key))
			_, _, isLink := splitLink(value)
			if isKey && isLink {
				g.links[key] = addOnce(g.links[key], value)
			}
		}
	}
}

func addOnce(list [][]byte, b []byte) [][]byte {
	for _, x := range list {
		if bytes.Equal(x, b) {
			return list
		}
	}
	return append(list, b)
}

// proven returns the stored form of every entry that a link vouches for.
func (g *gleaner) proven() map[string][]byte {
	out := map[string][]byte{}
	for key, links := range g.links {
		name, number, _ := splitLinkKey([]byte(key))
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
						out[string(id)] = text
					}
				}
			}
		}
	}
	return out
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
	ids := make([]string, 0, len(named))
	for id := range named {
		ids = append(ids, id)
	}
	sort.Strings(ids)
	var sound []fields.Entry
	for _, id := range ids {
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
	if err := fields.WriteJSONL(w, sound); err != nil {
		return r, fmt.Errorf("the entries could not be written (%w)", plainCause(err))
	}
	r.Proven = len(sound)
	return r, nil
}
