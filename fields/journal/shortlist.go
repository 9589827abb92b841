package journal

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"go.etcd.io/bbolt"

	"rimegate/fields"
)

// A large journal is read faster with a list of which of its entries LoadLately keeps, in a
// folder of this computer's own. The list holds ids alone, and the SHA-256 of the whole file as
// it was when all of its pages and chains were verified. Each later reading hashes the file
// first: the same bytes need not be verified a second way. Any other bytes are verified as ever;
// then the list still says what is kept of the entries that it was made of. It may be deleted
// at any time: nothing but time is lost.

// listFrom is the size of a journal, in bytes in use, from which a list pays. Tests lower it.
var listFrom = int64(8 << 20)

const (
	listSchema = 1       // raised when a list of the same journal would be another one
	mostList   = 1 << 26 // bytes: of some million entries
	listDays   = 30      // more of a journal is closed after a while
)

// shortlist is the content of a list.
type shortlist struct {
	Schema  int         `json:"schema"`
	Program string      `json:"program"`      // that made it: another one may keep others
	Day     fields.Date `json:"day"`          // it is for answers of that day or a later one
	File    string      `json:"file"`         // SHA-256 in hex of the pages in use
	State   state       `json:"state"`        // how far the journal was written
	Entries int         `json:"entries"`      // how many it held
	By      []string    `json:"by,omitempty"` // the seats of those that are kept, if there are several

	ids []byte // of those that are kept, in order, 26 bytes each: the second line
}

// listFile is the list of a journal as it is being read.
type listFile struct {
	name string      // of its file
	day  fields.Date // the answers asked for
	list *shortlist  // nil if there is none, or none to be used
	read bool        // the journal was read by it
	hash string      // of the journal, "" if none pays
}

// listOf reads the list of the journal for answers of a day, nil where the store keeps none.
func (s *Store) listOf(day fields.Date) *listFile {
	if s.Cache == "" {
		return nil
	}
	path, err := filepath.Abs(MarkPath(s.Path)) // a journal of several names has one
	if err != nil {
		return nil
	}
	k := &listFile{name: filepath.Join(s.Cache, seal([]byte(path))[:32]), day: day}
	data, err := noLarger(k.name, mostList)
	if err != nil {
		return k
	}
	var l shortlist
	text, ids, sound := unsealed(data)
	if sound && json.Unmarshal(text, &l) == nil && l.Schema == listSchema && l.Program == program &&
		l.Day <= day && day <= l.Day+listDays && len(ids)%idSize == 0 && (l.By == nil || len(l.By)*idSize == len(ids)) {
		l.ids, k.list = ids, &l
	}
	return k
}

// unsealed cuts a list's two lines out of its file; not sound if they are not as they were sealed.
func unsealed(data []byte) (text, ids []byte, sound bool) {
	end := len(data) - len("\n\n") - 2*sha256.Size
	if end < 0 || string(data[end:]) != "\n"+seal(data[:end])+"\n" {
		return nil, nil, false
	}
	return bytes.Cut(data[:end], []byte{'\n'})
}

// program tells apart the programs that may have made a list. It is asked when the program
// starts: where another one takes its place on the disk, this one goes on as it was.
var program = programNow()

func programNow() string {
	name, err := os.Executable()
	if err != nil {
		return ""
	}
	info, err := os.Stat(name)
	if err != nil {
		return ""
	}
	return fmt.Sprint(name, " ", info.Size(), " ", info.ModTime().UnixNano())
}

// isOf reports that the list is of the open journal as it is. The hash comes before anything is
// verified: no list is ever made of bytes that changed meanwhile.
func (k *listFile) isOf(h *handle) bool {
	info, err := h.file.Stat()
	if err != nil {
		return false
	}
	head, bad := readHeader(h.file, info.Size())
	used := int64(head.high) * head.pageSize
	if bad != "" || head.metas < 2 || used < listFrom {
		return false
	}
	sum, buf := sha256.New(), windows.Get().(*[windowSize]byte)
	defer windows.Put(buf)
	for at := int64(0); at < used; at += windowSize {
		part := buf[:min(windowSize, used-at)]
		if _, err := h.file.ReadAt(part, at); err != nil {
			return false
		}
		sum.Write(part)
	}
	k.hash = hex.EncodeToString(sum.Sum(nil))
	return k.some() && k.list.File == k.hash
}

// some reports that there is a list.
func (k *listFile) some() bool { return k != nil && k.list != nil }

// take adds to the content of a verified journal the entries of the list, and those that were
// stored since it was made. It is false where they may bear on what the list leaves out, or
// the journal did not grow from what that was made of.
func (k *listFile) take(s *Store, tx *bbolt.Tx, v *verdict, c *Content) bool {
	if !k.some() {
		return false
	}
	fresh, by, ok := grown(tx, &k.list.State, v)
	if !ok {
		return false
	}
	more, err := decodeAll(s.Path, fresh, fields.DecodeInto)
	if err != nil {
		return false
	}
	for i := range more {
		if !fields.LeavesClosed(&more[i], k.day) {
			return false
		}
		if len(v.seats) > 1 {
			more[i].Seat = by[i]
		}
	}
	entries := tx.Bucket(bucketEntries).Cursor()
	found := make([]pair, 0, len(k.list.ids)/idSize)
	var at, text []byte
	for id := range slices.Chunk(k.list.ids, idSize) {
		if at != nil { // most of what is kept stands together
			at, text = entries.Next()
		}
		if !bytes.Equal(at, id) {
			at, text = entries.Seek(id)
		}
		if !bytes.Equal(at, id) {
			return false
		}
		found = append(found, pair{id, text})
	}
	all, err := decodeAll(s.Path, found, fields.DecodeAgain)
	if err != nil || len(v.seats) > 1 && k.list.By == nil {
		return false
	}
	for i, seat := range k.list.By {
		all[i].Seat = seat
	}
	if len(more) > 0 {
		all = append(all, more...)
		slices.SortStableFunc(all, func(a, b fields.Entry) int { return strings.Compare(a.ID, b.ID) })
	}
	c.Entries, c.LeftOut, k.read = all, k.list.Entries+len(more)-len(all), true
	return true
}

// write makes the list anew of what was read, if one pays. Where it cannot be written, the next
// reading takes as long as this one.
func (k *listFile) write(c *Content) {
	if k == nil || k.hash == "" || k.some() && k.list.File == k.hash || program == "" {
		return
	}
	l := shortlist{
		Schema: listSchema, Program: program, Day: k.day, File: k.hash, State: c.state, Entries: c.LeftOut + len(c.Entries),
	}
	if k.read { // it grows with what is logged until all is sifted again
		l.Day = k.list.Day
	}
	ids := make([]byte, 0, len(c.Entries)*idSize)
	for i := range c.Entries {
		e := &c.Entries[i]
		if ids = append(ids, e.ID...); c.writer == "" {
			l.By = append(l.By, e.Seat)
		}
	}
	text, err := json.Marshal(l)
	dir := filepath.Dir(k.name)
	if err != nil || os.MkdirAll(dir, 0o700) != nil {
		return
	}
	Sweep(dir)
	f, remove, err := newUnnamed(dir)
	if err != nil {
		return
	}
	defer remove()
	text = append(append(text, '\n'), ids...)
	_, err = f.Write(append(text, "\n"+seal(text)+"\n"...))
	if errors.Join(err, f.Close()) == nil { // what a power cut leaves of it is not sealed
		_ = Unbroken(func() error { return renameOver(f.Name(), k.name) })
	}
}
