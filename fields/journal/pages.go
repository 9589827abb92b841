package journal

import (
	"encoding/binary"
	"fmt"
	"hash/fnv"
	"io"
)

// Layout of a bbolt file, version 2: pages of one size; the first two hold
// meta records, of which the newer sound one counts.
const (
	boltMagic   = 0xED0CDAED
	boltVersion = 2

	pageHead   = 16 // id 8, flags 2, count 2, overflow 4
	metaSize   = 64
	elemSize   = 16
	bucketHead = 16 // root page 8, sequence 8

	flagBranch   = 0x01
	flagLeaf     = 0x02
	flagFreelist = 0x10

	elemBucket = 0x01

	noFreelist = ^uint64(0)
)

var native = binary.NativeEndian // bbolt writes the machine's own byte order

// header is what the meta records say of the file.
type header struct {
	pageSize int64
	root     uint64
	freelist uint64
	high     uint64 // pages in use and free; all lie below it
	txid     uint64
	metas    int // sound meta records, 1 or 2
}

// readHeader reads the meta records with plain reads. The text is "" or says
// what is wrong. It needs no lock: a writer overwrites one record at a time.
func readHeader(r io.ReaderAt, size int64) (header, string) {
	var h header
	if size == 0 {
		return h, "it is empty (0 bytes)"
	}
	first, ok := readMeta(r, 0)
	var second header
	ok2 := false
	if ok {
		second, ok2 = readMeta(r, first.pageSize)
	} else {
		// The page size stands in the record itself: try all there can be.
		for off := int64(1024); off <= 1<<24 && !ok2; off <<= 1 {
			second, ok2 = readMeta(r, off)
			ok2 = ok2 && second.pageSize == off
		}
	}
	switch {
	case ok && ok2 && second.txid > first.txid, !ok && ok2:
		h = second
	case ok:
		h = first
	default:
		return h, "it is not a journal file, or its beginning is lost"
	}
	if ok && ok2 {
		h.metas = 2
	} else {
		h.metas = 1
	}
	if h.pageSize < 512 || h.pageSize > 1<<24 || h.high < 4 || h.high > 1<<40 || h.root < 2 || h.root >= h.high || h.freelist < 2 || h.freelist >= h.high && h.freelist != noFreelist {
		return h, "its beginning contradicts itself"
	}
	if want := int64(h.high) * h.pageSize; size < want {
		return h, fmt.Sprintf("its end is cut off (%d of %d bytes are there)", size, want)
	}
	return h, ""
}

func readMeta(r io.ReaderAt, off int64) (header, bool) {
	var b [pageHead + metaSize]byte
	if _, err := r.ReadAt(b[:], off); err != nil {
		return header{}, false
	}
	m := b[pageHead:]
	sum := fnv.New64a()
	sum.Write(m[:metaSize-8])
	if native.Uint32(m) != boltMagic || native.Uint32(m[4:]) != boltVersion || native.Uint64(m[56:]) != sum.Sum64() {
		return header{}, false
	}
	return header{
		pageSize: int64(native.Uint32(m[8:])),
		root:     native.Uint64(m[16:]),
		freelist: native.Uint64(m[32:]),
		high:     native.Uint64(m[40:]),
		txid:     native.Uint64(m[48:]),
	}, true
}

// depth says how much of the pages a walk reads.
type depth int

const (
	walkRoot     depth = iota // the list of buckets only
	walkBranches              // every page's head, every branch in full
	walkAll                   // every page in full
)

// walk follows the pages from the root as bbolt would, but with bounded reads,
// and returns "" or the first thing that is wrong. After a clean walkBranches
// no search can run in a circle, leave the file or end on a page that is free
// to be overwritten; after a clean walkAll no key or value reaches out of its
// page either.
func walk(r io.ReaderAt, size int64, d depth) string {
	h, bad := readHeader(r, size)
	if bad != "" {
		return bad
	}
	w := walker{r: r, h: h, depth: d, seen: make([]bool, h.high)}
	w.seen[0], w.seen[1] = true, true
	if d != walkRoot && h.freelist != noFreelist {
		if bad := w.readFreelist(); bad != "" {
			return bad
		}
	}
	var subs []uint64
	if bad := w.tree(h.root, &subs); bad != "" || d == walkRoot {
		return bad
	}
	for _, root := range subs {
		if bad := w.tree(root, nil); bad != "" {
			return bad
		}
	}
	return ""
}

type walker struct {
	r     io.ReaderAt
	h     header
	depth depth
	seen  []bool
	free  map[uint64]bool
	buf   []byte
}

// page reads the first n bytes of the run of pages at id (n 0: all of it).
func (w *walker) page(id uint64, n int64) (head [pageHead]byte, body []byte, bad string) {
	if id < 2 || id >= w.h.high {
		return head, nil, fmt.Sprintf("a page number is out of bounds (%d of %d)", id, w.h.high)
	}
	off := int64(id) * w.h.pageSize
	if _, err := w.r.ReadAt(head[:], off); err != nil {
		return head, nil, fmt.Sprintf("page %d cannot be read", id)
	}
	over := uint64(native.Uint32(head[12:]))
	if native.Uint64(head[:]) != id || id+over >= w.h.high {
		return head, nil, fmt.Sprintf("page %d has a wrong head", id)
	}
	if n == 0 {
		n = int64(over+1) * w.h.pageSize
	}
	if n <= pageHead {
		return head, nil, ""
	}
	if int64(cap(w.buf)) < n {
		w.buf = make([]byte, n)
	}
	body = w.buf[:n]
	if _, err := w.r.ReadAt(body, off); err != nil {
		return head, nil, fmt.Sprintf("page %d cannot be read", id)
	}
	return head, body, ""
}

func (w *walker) readFreelist() string {
	head, body, bad := w.page(w.h.freelist, 0)
	if bad != "" {
		return bad
	}
	if native.Uint16(head[8:]) != flagFreelist {
		return "the list of free pages is damaged"
	}
	if bad := w.take(w.h.freelist, native.Uint32(head[12:])); bad != "" {
		return bad
	}
	ids := body[pageHead:]
	count := uint64(native.Uint16(head[10:]))
	if count == 0xFFFF { // too many for the head: the count comes first
		count = native.Uint64(ids)
		ids = ids[8:]
	}
	if count > uint64(len(ids))/8 {
		return "the list of free pages is damaged"
	}
	w.free = make(map[uint64]bool, count)
	for i := uint64(0); i < count; i++ {
		id := native.Uint64(ids[i*8:])
		if id < 2 || id >= w.h.high || w.free[id] || w.seen[id] {
			return "the list of free pages is damaged"
		}
		w.free[id] = true
	}
	return ""
}

// take marks a run of pages as used; a page used twice or listed as free is damage.
func (w *walker) take(id uint64, overflow uint32) string {
	for i := id; i <= id+uint64(overflow); i++ {
		if w.seen[i] {
			return fmt.Sprintf("page %d is used twice", i)
		}
		if w.free[i] {
			return fmt.Sprintf("page %d is in use and listed as free", i)
		}
		w.seen[i] = true
	}
	return ""
}

// tree walks one bucket. If subs is not nil, the bucket is the list of buckets:
// its leaves are read in full and their roots collected.
func (w *walker) tree(id uint64, subs *[]uint64) string {
	full := w.depth == walkAll || subs != nil
	head, _, bad := w.page(id, pageHead)
	if bad != "" {
		return bad
	}
	if bad := w.take(id, native.Uint32(head[12:])); bad != "" {
		return bad
	}
	count := int(native.Uint16(head[10:]))
	switch native.Uint16(head[8:]) {
	case flagBranch:
		_, body, bad := w.page(id, 0)
		if bad != "" {
			return bad
		}
		if count == 0 || pageHead+count*elemSize > len(body) {
			return fmt.Sprintf("page %d has a wrong count", id)
		}
		children := make([]uint64, count)
		for i := range children {
			at := pageHead + i*elemSize
			e := body[at:]
			if !inside(at, native.Uint32(e), native.Uint32(e[4:]), 0, len(body)) {
				return fmt.Sprintf("page %d has a name out of bounds", id)
			}
			children[i] = native.Uint64(e[8:])
		}
		for _, c := range children {
			if bad := w.tree(c, subs); bad != "" {
				return bad
			}
		}
	case flagLeaf:
		if !full {
			return ""
		}
		_, body, bad := w.page(id, 0)
		if bad != "" {
			return bad
		}
		return w.leaf(id, body, count, subs)
	default:
		return fmt.Sprintf("page %d is of no known sort", id)
	}
	return ""
}

func (w *walker) leaf(id uint64, body []byte, count int, subs *[]uint64) string {
	if pageHead+count*elemSize > len(body) {
		return fmt.Sprintf("page %d has a wrong count", id)
	}
	for i := range count {
		at := pageHead + i*elemSize
		e := body[at:]
		flags, pos, ksize, vsize := native.Uint32(e), native.Uint32(e[4:]), native.Uint32(e[8:]), native.Uint32(e[12:])
		if !inside(at, pos, ksize, vsize, len(body)) {
			return fmt.Sprintf("page %d has a value out of bounds", id)
		}
		if flags&elemBucket == 0 {
			continue
		}
		value := body[at+int(pos)+int(ksize):][:vsize]
		if subs == nil || len(value) < bucketHead {
			return fmt.Sprintf("page %d has a bucket where none can be", id)
		}
		if root := native.Uint64(value); root != 0 {
			*subs = append(*subs, root)
			continue
		}
		inline := value[bucketHead:] // a small bucket lies within the value
		if len(inline) < pageHead || native.Uint16(inline[8:]) != flagLeaf {
			return fmt.Sprintf("page %d has a damaged bucket", id)
		}
		if bad := w.leaf(id, inline, int(native.Uint16(inline[10:])), nil); bad != "" {
			return bad
		}
	}
	return ""
}

// inside reports whether a key and value that begin pos bytes behind the
// element at lie within n bytes.
func inside(at int, pos, ksize, vsize uint32, n int) bool {
	return uint64(at)+uint64(pos)+uint64(ksize)+uint64(vsize) <= uint64(n)
}
