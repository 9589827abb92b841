package journal

import (
	"bytes"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"hash/fnv"
	"io"
	"sync"
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
	metas    int    // sound meta records, 1 or 2
	slot     string // checksum in the record that the next commit overwrites, in hex; sound or not
}

const noJournal = "it is not a journal file, or its beginning is lost"

// readHeader reads the meta records with plain reads. The text is "" or says
// what is wrong. It needs no lock: a writer overwrites one record at a time.
func readHeader(r io.ReaderAt, size int64) (header, string) {
	var h header
	if size == 0 {
		return h, "it is empty (0 bytes)"
	}
	first, ok := readMeta(r, 0)
	second, ok2 := readMeta(r, first.pageSize)
	for off := int64(1024); off <= 1<<24 && !ok; off <<= 1 {
		// The page size stands in the record itself: try all there can be.
		if second, ok2 = readMeta(r, off); ok2 && second.pageSize == off {
			break
		}
		ok2 = false
	}
	switch {
	case ok && ok2 && second.txid > first.txid, !ok && ok2:
		h = second
	case ok:
		h = first
	default:
		return h, noJournal
	}
	h.metas = 1
	if ok && ok2 {
		h.metas = 2
	}
	// The record of a transaction stands on the page of its last bit.
	var sum [8]byte
	if _, err := r.ReadAt(sum[:], int64((h.txid+1)%2)*h.pageSize+pageHead+metaSize-8); err == nil {
		h.slot = hex.EncodeToString(sum[:])
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
	walkRoot depth = iota // the list of buckets only
	walkAll               // every page
)

// walk follows the pages from the root as bbolt would, but with bounded reads.
// The text is "" or the first thing that is wrong. After a clean walk no search
// can run in a circle, leave the file, or miss a key for want of order, no key
// or value reaches out of its page, and no page in use is free to be
// overwritten. bbolt itself trusts all of this: a commit on top of a branch
// whose key is not its child's first one would hang the old page beside the
// new one.
func walk(r io.ReaderAt, size int64, d depth) (header, string) {
	h, bad := readHeader(r, size)
	if bad != "" {
		return h, bad
	}
	buf := windows.Get().(*[windowSize]byte)
	defer windows.Put(buf)
	w := walker{window: window{r: r, end: int64(h.high) * h.pageSize, buf: buf[:]}, h: h, seen: make([]bool, h.high)}
	w.seen[0], w.seen[1] = true, true
	if d != walkRoot && h.freelist != noFreelist {
		bad = w.readFreelist()
	}
	var buckets []uint64
	if bad == "" {
		bad = w.tree(h.root, nil, nil, &buckets)
	}
	for i := 0; i < len(buckets) && bad == "" && d != walkRoot; i++ {
		bad = w.tree(buckets[i], nil, nil, nil)
	}
	return h, bad
}

type walker struct {
	window
	h    header
	seen []bool
	free map[uint64]bool
}

// window reads a file a piece at a time: neighbours in the tree mostly lie side
// by side, and a call for each page would cost more than the walk.
type window struct {
	r    io.ReaderAt
	end  int64 // where the pages end
	at   int64 // where the piece begins
	have []byte
	buf  []byte
}

const windowSize = 64 << 10

var windows = sync.Pool{New: func() any { return new([windowSize]byte) }}

// get returns n bytes at off, valid until the next call.
func (w *window) get(off, n int64) ([]byte, bool) {
	if off < 0 || n < 0 || off+n > w.end {
		return nil, false
	}
	if off < w.at || off+n > w.at+int64(len(w.have)) {
		buf := w.buf
		if n > int64(len(buf)) {
			buf = make([]byte, n)
		}
		buf = buf[:min(int64(len(buf)), w.end-off)]
		w.have = nil
		if _, err := w.r.ReadAt(buf, off); err != nil {
			return nil, false
		}
		w.at, w.have = off, buf
	}
	return w.have[off-w.at:][:n], true
}

// page reads the run of pages at id. The body is valid until the next call.
func (w *walker) page(id uint64) (flags uint16, count int, body []byte, bad string) {
	fail := func(format string, args ...any) (uint16, int, []byte, string) {
		return 0, 0, nil, fmt.Sprintf(format, args...)
	}
	if id < 2 || id >= w.h.high {
		return fail("a page number is out of bounds (%d of %d)", id, w.h.high)
	}
	off := int64(id) * w.h.pageSize
	body, ok := w.get(off, w.h.pageSize)
	if !ok {
		return fail("page %d cannot be read", id)
	}
	over := uint64(native.Uint32(body[12:]))
	if native.Uint64(body) != id || id+over >= w.h.high {
		return fail("page %d has a wrong head", id)
	}
	if over > 0 {
		if body, ok = w.get(off, int64(over+1)*w.h.pageSize); !ok {
			return fail("page %d cannot be read", id)
		}
	}
	for i := id; i <= id+over; i++ {
		if w.seen[i] {
			return fail("page %d is used twice", i)
		}
		if w.free[i] {
			return fail("page %d is in use and listed as free", i)
		}
		w.seen[i] = true
	}
	return native.Uint16(body[8:]), int(native.Uint16(body[10:])), body, ""
}

func (w *walker) readFreelist() string {
	const damaged = "the list of free pages is damaged"
	flags, n, body, bad := w.page(w.h.freelist)
	if bad != "" {
		return bad
	}
	if flags != flagFreelist {
		return damaged
	}
	ids, count := body[pageHead:], uint64(n)
	if count == 0xFFFF { // too many for the head: the count comes first
		count, ids = native.Uint64(ids), ids[8:]
	}
	if count > uint64(len(ids))/8 {
		return damaged
	}
	w.free = make(map[uint64]bool, count)
	for i := range count {
		id := native.Uint64(ids[i*8:])
		if id < 2 || id >= w.h.high || w.free[id] || w.seen[id] {
			return damaged
		}
		w.free[id] = true
	}
	return ""
}

// tree walks the pages of one bucket below page id. The first key there must
// be first and all keys below next, where not nil. If subs is not nil, the
// bucket is the list of buckets: their roots are collected.
func (w *walker) tree(id uint64, first, next []byte, subs *[]uint64) string {
	flags, count, body, bad := w.page(id)
	if bad != "" {
		return bad
	}
	switch flags {
	case flagLeaf:
		return w.leaf(id, body, count, first, next, subs)
	case flagBranch:
	default:
		return fmt.Sprintf("page %d is of no known sort", id)
	}
	if count == 0 || pageHead+count*elemSize > len(body) {
		return fmt.Sprintf("page %d has a wrong count", id)
	}
	type child struct {
		key []byte
		id  uint64
	}
	children := make([]child, count)
	keys := order{first: first, next: next}
	for i := range children {
		at := pageHead + i*elemSize
		e := body[at:]
		pos, ksize := native.Uint32(e), native.Uint32(e[4:])
		if !inside(at, pos, ksize, 0, len(body)) {
			return fmt.Sprintf("page %d has a key out of bounds", id)
		}
		key := bytes.Clone(e[pos:][:ksize]) // body does not outlive the children
		if !keys.add(key) {
			return fmt.Sprintf("page %d has keys out of order", id)
		}
		children[i] = child{key, native.Uint64(e[8:])}
	}
	for i, c := range children {
		below := next
		if i+1 < count {
			below = children[i+1].key
		}
		if bad := w.tree(c.id, c.key, below, subs); bad != "" {
			return bad
		}
	}
	return ""
}

func (w *walker) leaf(id uint64, body []byte, count int, first, next []byte, subs *[]uint64) string {
	if pageHead+count*elemSize > len(body) || count == 0 && first != nil {
		return fmt.Sprintf("page %d has a wrong count", id)
	}
	keys := order{first: first, next: next}
	for i := range count {
		key, value, bucket, ok := leafElement(body, i)
		if !ok {
			return fmt.Sprintf("page %d has a value out of bounds", id)
		}
		if !keys.add(key) {
			return fmt.Sprintf("page %d has keys out of order", id)
		}
		if !bucket {
			continue
		}
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
		if bad := w.leaf(id, inline, int(native.Uint16(inline[10:])), nil, nil, nil); bad != "" {
			return bad
		}
	}
	return ""
}

// leafElement is the i-th element of a leaf page; not ok if it reaches out of it.
func leafElement(body []byte, i int) (key, value []byte, bucket, ok bool) {
	at := pageHead + i*elemSize
	if at+elemSize > len(body) {
		return nil, nil, false, false
	}
	e := body[at:]
	flags, pos, ksize, vsize := native.Uint32(e), native.Uint32(e[4:]), native.Uint32(e[8:]), native.Uint32(e[12:])
	if !inside(at, pos, ksize, vsize, len(body)) {
		return nil, nil, false, false
	}
	return e[pos:][:ksize], e[int(pos)+int(ksize):][:vsize], flags&elemBucket != 0, true
}

// order checks that keys grow from first, if not nil, to below next, if not nil.
type order struct{ first, next, last []byte }

func (o *order) add(key []byte) bool {
	switch {
	case len(key) == 0, o.next != nil && bytes.Compare(key, o.next) >= 0:
		return false
	case o.last != nil && bytes.Compare(o.last, key) >= 0, o.last == nil && o.first != nil && !bytes.Equal(o.first, key):
		return false
	}
	o.last = key
	return true
}

// inside reports whether a key and value that begin pos bytes behind the
// element at lie within n bytes.
func inside(at int, pos, ksize, vsize uint32, n int) bool {
	return uint64(at)+uint64(pos)+uint64(ksize)+uint64(vsize) <= uint64(n)
}
