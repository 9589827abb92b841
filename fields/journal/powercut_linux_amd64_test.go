package journal

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"flag"
	"fmt"
	"hash/fnv"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"rimegate/fields"
)

var cuts = flag.Int("cuts", 0, "read every disk a power cut can leave, and so many random ones behind each call")

// A program is witnessed while it makes a journal and does everything that writes one.
// Then the power is cut behind each of its system calls: what was not flushed to the disk
// by then may be there, or not, or in part, and so may each name. Every disk that can be
// left is rebuilt and read: none is a state that never was, what was acknowledged is there,
// and where damage is reported, salvage gets it out.
//
// A disk that lies flushes nothing when it is told to. Then what was acknowledged may be
// lost, and the journal reads as it was at an earlier step or is reported. Where the lie is
// about the journal alone and the file system keeps the order of names, the mark knows, and
// an earlier state is always reported.
func TestPowerCutReplayed(t *testing.T) {
	x := witnessed(t)
	journal := x.inodeOf(farmFile)
	of := func(mine bool) func(c *change) bool {
		return func(c *change) bool { return c.op == "sync" && (c.file == journal) == mine }
	}
	src := seeded(23)
	for _, c := range []struct {
		name    string
		lies    func(c *change) bool
		ordered bool // names reach the disk at once
		earlier bool // may pass without a word
	}{
		{"an honest disk", nil, false, false},
		{"an honest disk that keeps the order of names", nil, true, false},
		{"it lies of the journal", of(true), true, false},
		{"it lies of all but the journal", of(false), false, true},
		{"it lies of names", func(c *change) bool { return c.op == "sync names" }, false, true},
		{"it lies now and then", func(*change) bool { return src.IntN(4) == 0 }, false, true},
		{"it always lies", func(*change) bool { return true }, false, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			earlier := 0
			x.cutEverywhere(t, c.lies, c.ordered, func(at cutAt, got outcome) {
				switch {
				case got.reported && c.lies == nil && !got.salvaged:
					t.Errorf("%s: damage is reported (%v), and salvage does not get out what was acknowledged", at, got.err)
				case got.reported || got.state >= at.done:
				case c.earlier:
					earlier++
				default:
					t.Errorf("%s: it reads as after %q, though %q was acknowledged", at, x.after(got.state), x.after(at.done))
				}
			})
			if c.earlier {
				t.Logf("%d read as an earlier step", earlier)
			}
		})
	}
}

// inodeOf is the file that was given a name.
func (x *played) inodeOf(name string) uint64 {
	for _, c := range x.calls {
		if i := c.set[filepath.Join(x.folder, name)]; i != 0 {
			return i
		}
	}
	return 0
}

// cutAt is when the power was cut.
type cutAt struct {
	call        int // how many calls were over
	done, begun int // the last step that was acknowledged, and that was begun
	how         string
}

func (m cutAt) String() string { return fmt.Sprintf("cut behind call %d, %s", m.call, m.how) }

// played is a program that was witnessed.
type played struct {
	folder string
	start  *disk
	calls  []change
	steps  []string
	states []string // what the journal holds behind each step; "" if it is not there
	copies []bool   // whether the copy is there behind each step
}

func (x *played) after(step int) string {
	if step < 0 {
		return "nothing"
	}
	return x.steps[step]
}

func init() { roles["witnessed"] = playWitnessed }

const (
	farmFile  = "new/farm.journal"
	copyFile  = "copy.journal"
	otherFile = "other.journal"
)

func clashEntry(note string) fields.Entry {
	e := sighting(note)
	e.ID = clashID
	return e
}

// playWitnessed makes a journal and writes it in every way, saying what it does.
func playWitnessed(s *Store) int {
	dir := s.Path
	s.Path = filepath.Join(dir, farmFile)
	src := seeded(21)
	at := time.Date(2026, 9, 18, 7, 0, 0, 0, time.UTC)
	add := func(e ...fields.Entry) func() error { return func() error { _, err := s.Append(e); return err } }
	steps := []struct {
		name string
		do   func() error
	}{
		{"create", s.Create},
		{"log", add(sighting("one"))},
		{"log again", add(sighting("two"))},
		{"log several", add(randomEntries(src, 6)...)},
		{"another seat", func() error { s.Seat = "shop"; return add(clashEntry("ours"))() }},
		{"import", func() error { _, err := s.Import(randomEntries(src, 60)); return err }},
		{"copy", func() error { _, err := s.Copy(filepath.Join(dir, copyFile)); return err }},
		{"merge", func() error { _, err := mergeKeeping(s, KeepBoth, filepath.Join(dir, otherFile)); return err }},
		{"long notes", add(sighting(strings.Repeat("x", 9000)), sighting(strings.Repeat("y", 30_000)))},
		{"import with a gap", func() error {
			_, err := s.Import(randomEntries(src, 3), Gap{What: "a test", IDs: []string{"01J8ZQ4V7W0000000000000009"}})
			return err
		}},
		{"accept", func() error { _, err := s.Accept("sam", "no copy is left", at); return err }},
		{"log last", add(sighting("last"))},
	}
	for _, step := range steps {
		fmt.Println("begin", step.name)
		if err := step.do(); err != nil {
			fmt.Fprintln(os.Stderr, step.name, err)
			return 1
		}
		fmt.Println("done", step.name)
	}
	return 0
}

// witnessed plays the program and takes down the state behind every step.
func witnessed(t *testing.T) *played {
	t.Helper()
	folder, err := filepath.EvalSymlinks(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	other := New(filepath.Join(folder, otherFile))
	if err := other.Create(); err != nil {
		t.Fatal(err)
	}
	mustAppend(t, other, clashEntry("theirs"), sighting("only theirs"))
	x := &played{folder: folder, start: diskOf(t, folder)}
	x.calls = witness(t, folder, "JOURNAL_TEST_ROLE=witnessed", "JOURNAL_TEST_PATH="+folder)
	d := x.start.clone()
	dir := t.TempDir()
	for i := range x.calls {
		c := &x.calls[i]
		if c.op == "unknown" {
			t.Fatalf("the model knows nothing of %s", c.path)
		}
		d.does(c)
		if name, ok := strings.CutPrefix(c.path, "done "); c.op == "say" && ok {
			d.all().put(t, folder, dir)
			state := ""
			if s := New(filepath.Join(dir, farmFile)); s.Exists() {
				state = held(mustLoad(t, s))
			}
			x.steps, x.states = append(x.steps, strings.TrimSpace(name)), append(x.states, state)
			x.copies = append(x.copies, taken(filepath.Join(dir, copyFile)))
		}
	}
	if len(x.steps) != 12 || !x.copies[len(x.copies)-1] {
		t.Fatalf("steps: %q", x.steps)
	}
	return x
}

// outcome is what became of a journal.
type outcome struct {
	state    int // the step behind which it stands as it is read, -1 if there is none
	reported bool
	salvaged bool // everything acknowledged comes out, if damage was reported
	said     bool // something must be known of it
	err      error
}

// cutEverywhere rebuilds the disks of a cut behind every call and reads them: all of them
// by flag, else those with nothing unflushed behind each step and one in many others. lies,
// if not nil, tells which flushes did nothing.
func (x *played) cutEverywhere(t *testing.T, lies func(c *change) bool, ordered bool, judge func(cutAt, outcome)) {
	t.Helper()
	r := &cutter{played: x, honest: lies == nil, judge: judge, dir: t.TempDir(), seen: map[uint64]bool{}}
	src := seeded(22)
	d := x.start.clone()
	at := cutAt{done: -1, begun: -1}
	for i := range x.calls {
		c := &x.calls[i]
		if flush := c.op == "sync" || c.op == "sync names"; !flush || lies == nil || !lies(c) {
			d.does(c)
		}
		if ordered {
			for _, n := range d.named {
				n.name(d.names)
			}
			d.named = nil
		}
		if c.op == "say" && strings.HasPrefix(c.path, "begin") {
			at.begun++
		} else if c.op == "say" {
			at.done++
		}
		at.call = i + 1
		for how, build := range d.left(src) {
			if *cuts == 0 && src.IntN(800) != 0 && (c.op != "say" || how != nothing || lies != nil) {
				continue
			}
			at.how = how
			if r.cut(t, build(), at); t.Failed() {
				return
			}
		}
	}
	t.Logf("%d calls, %d disks: %d read as a step (%d with a remark), %d reported; %d carried on",
		len(x.calls), r.disks, r.exact, r.said, r.reported, r.went)
	if r.disks < len(x.steps) || r.exact == 0 {
		t.Error("the cuts tell nothing")
	}
}

// cutter reads what cuts leave, each disk once, and counts.
type cutter struct {
	*played
	honest bool
	judge  func(cutAt, outcome)
	dir    string
	seen   map[uint64]bool

	disks, exact, reported, said, went int
}

func (r *cutter) cut(t *testing.T, left image, at cutAt) {
	t.Helper()
	key := left.key() ^ uint64(at.done+1)<<32 ^ uint64(at.begun+1)
	if r.seen[key] {
		return
	}
	r.seen[key] = true
	left.put(t, r.folder, r.dir)
	got := r.read(t, r.dir, at, r.honest)
	if !t.Failed() {
		r.judge(at, got)
	}
	if t.Failed() {
		return
	}
	r.disks++
	if got.reported {
		r.reported++
		return
	}
	if got.said {
		r.said++
	}
	r.exact++
	if s := New(filepath.Join(r.dir, farmFile)); r.disks%8 == 0 && s.Exists() { // the next command works
		mustAppend(t, s, sighting("goes on"))
		if c := mustLoad(t, s); strings.Contains(c.Doubt, "record") {
			t.Errorf("%s: afterwards: %s", at, c.Doubt)
		}
		r.went++
	}
}

// read reads the journal and the copy that a cut left. A state that never was fails.
func (x *played) read(t *testing.T, dir string, at cutAt, honest bool) outcome {
	t.Helper()
	got := outcome{state: -1}
	s := New(filepath.Join(dir, farmFile))
	c, err := s.Load()
	var dam *DamagedError
	switch {
	case errors.Is(err, ErrMissing):
	case errors.As(err, &dam):
		got.reported, got.err, got.state = true, err, at.done
		got.salvaged = honest && x.salvages(t, s, at.done)
	case err != nil:
		t.Fatalf("%s: %v", at, err)
	default:
		got.said = c.Doubt != "" && !strings.Contains(c.Doubt, "a test")
		if got.state = x.stateOf(c, at.begun); got.state < 0 {
			t.Fatalf("%s: the journal reads as it never was: %d entries, revision %d", at, len(c.Entries), c.Revision)
		}
		if at.call%5 == 0 {
			if r, err := s.Check(); err != nil || !r.Whole() {
				t.Fatalf("%s: it is answered from, and the check finds %v, %v", at, r, err)
			}
		}
	}
	to := New(filepath.Join(dir, copyFile))
	if !to.Exists() {
		if honest && at.done >= 0 && x.copies[at.done] {
			t.Fatalf("%s: the copy was acknowledged and is gone", at)
		}
		return got
	}
	switch c, err := to.Load(); {
	case err != nil && honest, err != nil && !errors.As(err, &dam):
		t.Fatalf("%s: the copy has its name and reads as %v", at, err)
	case err == nil && x.stateOf(c, at.begun) < 0:
		t.Fatalf("%s: the copy reads as the journal never did", at)
	}
	return got
}

// stateOf is the last step, of those begun, behind which the journal held that; -1 if none.
func (x *played) stateOf(c *Content, begun int) int {
	state := held(c)
	for begun >= 0 && state != x.states[begun] {
		begun--
	}
	return begun
}

// salvages reports whether salvage proves every entry that was there behind a step.
func (x *played) salvages(t *testing.T, s *Store, step int) bool {
	t.Helper()
	var out bytes.Buffer
	if _, err := s.Salvage(&out); err != nil {
		t.Fatal(err)
	}
	if step < 0 {
		return true
	}
	lines := map[string]bool{}
	for l := range strings.Lines(out.String()) {
		lines[l] = true
	}
	for l := range strings.Lines(x.states[step]) {
		if strings.HasPrefix(l, `{"id"`) && !lines[l] {
			return false
		}
	}
	return true
}

// disk is what is surely on a disk, and what may be.
type disk struct {
	files map[uint64]*onDisk // by inode
	names map[string]uint64  // surely there; folders are 0
	named []change           // may be there
}

type onDisk struct {
	data    []byte // surely there
	changed []change
}

// diskOf is a folder as it is, all of it flushed.
func diskOf(t *testing.T, folder string) *disk {
	t.Helper()
	d := &disk{files: map[uint64]*onDisk{}, names: map[string]uint64{}}
	list, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range list {
		path := filepath.Join(folder, e.Name())
		d.names[path] = inode(path)
		d.files[d.names[path]] = &onDisk{data: fileBytes(t, path)}
	}
	return d
}

func (d *disk) clone() *disk {
	n := &disk{files: map[uint64]*onDisk{}, names: maps.Clone(d.names), named: slices.Clone(d.named)}
	for i, f := range d.files {
		n.files[i] = &onDisk{f.data, slices.Clone(f.changed)}
	}
	return n
}

// does takes in one call.
func (d *disk) does(c *change) {
	switch c.op {
	case "write", "size":
		d.file(c.file).changed = append(d.file(c.file).changed, *c)
	case "sync":
		f := d.file(c.file)
		f.data, f.changed = f.with(func(int, int) bool { return true }, 1<<30), nil
	case "name":
		if !c.isFolder {
			for _, i := range c.set { // an inode may be used again, when all its names are gone
				if !d.knows(i) {
					d.files[i] = &onDisk{}
				}
			}
		} else {
			c.set = map[string]uint64{c.path: 0}
		}
		d.named = append(d.named, *c)
	case "sync names":
		var rest []change
		for _, n := range d.named {
			if n.in(c.path) {
				n.name(d.names)
			} else {
				rest = append(rest, n)
			}
		}
		d.named = rest
	}
}

// knows reports whether a file may have a name.
func (d *disk) knows(i uint64) bool {
	has := func(names map[string]uint64) bool { return slices.Contains(slices.Collect(maps.Values(names)), i) }
	return has(d.names) || slices.ContainsFunc(d.named, func(n change) bool { return has(n.set) })
}

func (d *disk) file(i uint64) *onDisk {
	if d.files[i] == nil {
		d.files[i] = &onDisk{}
	}
	return d.files[i]
}

// in reports whether a change of names is one of a folder's list.
func (c *change) in(folder string) bool {
	for n := range c.set {
		return filepath.Dir(n) == folder
	}
	return len(c.del) > 0 && filepath.Dir(c.del[0]) == folder
}

func (c *change) name(names map[string]uint64) {
	for _, n := range c.del {
		delete(names, n)
	}
	maps.Copy(names, c.set)
}

// with is what the file holds if those sectors of its unflushed writes are there that keep
// says, by write and sector.
func (f *onDisk) with(keep func(write, sector int) bool, size int64) []byte {
	out := append([]byte{}, f.data...) // not nil: it is a file
	for n, c := range f.changed {
		if c.op == "size" {
			if keep(n, 0) {
				out = sized(out, c.at)
			}
			continue
		}
		for from := int64(0); from < int64(len(c.data)); {
			at := c.at + from
			end := min(int64(len(c.data)), (at/size+1)*size-c.at)
			if keep(n, int(at/size)) {
				if c.at+end > int64(len(out)) {
					out = sized(out, c.at+end)
				}
				copy(out[at:], c.data[from:end])
			}
			from = end
		}
	}
	return out
}

func sized(b []byte, n int64) []byte {
	if n <= int64(len(b)) {
		return b[:n]
	}
	return append(b, make([]byte, n-int64(len(b)))...)
}

// image is a disk as it is found: what each name holds, nil for a folder.
type image map[string][]byte

// kept says what of the unflushed is there.
type kept struct {
	name   func(n int) bool
	sector func(file uint64, write, sector int) bool
	size   int64
}

func (d *disk) image(k kept) image {
	names := maps.Clone(d.names)
	for n := range d.named {
		if k.name(n) {
			d.named[n].name(names)
		}
	}
	out := image{}
	for path, i := range names {
		if i == 0 {
			out[path] = nil
			continue
		}
		out[path] = d.file(i).with(func(w, s int) bool { return k.sector(i, w, s) }, k.size)
	}
	for path := range out { // a name in a folder that is not there is not there
		if _, ok := names[filepath.Dir(path)]; !ok && strings.HasSuffix(filepath.Dir(path), "/new") {
			delete(out, path)
		}
	}
	return out
}

func (d *disk) all() image {
	return d.image(kept{func(int) bool { return true }, func(uint64, int, int) bool { return true }, 1 << 30})
}

const nothing = "nothing unflushed is there"

// left yields the disks that a cut now can leave, with what they are like.
func (d *disk) left(src *rand.Rand) func(yield func(string, func() image) bool) {
	always := func(b bool) func(int) bool { return func(int) bool { return b } }
	data := func(b bool) func(uint64, int, int) bool { return func(uint64, int, int) bool { return b } }
	writes := func(f func(n int) bool) func(uint64, int, int) bool {
		return func(_ uint64, w, _ int) bool { return f(w) }
	}
	most := len(d.named)
	for _, f := range d.files {
		most = max(most, len(f.changed))
	}
	return func(yield func(string, func() image) bool) {
		give := func(how string, name func(int) bool, sector func(uint64, int, int) bool, size int64) bool {
			return yield(how, func() image { return d.image(kept{name, sector, size}) })
		}
		ok := give(nothing, always(false), data(false), 512) &&
			give("all of it is there", always(true), data(true), 512) &&
			give("the names are there alone", always(true), data(false), 512) &&
			give("the data are there alone", always(false), data(true), 512)
		for n := 0; n < most && ok; n += 1 + most/32 {
			but, only, until := func(i int) bool { return i != n }, func(i int) bool { return i == n }, func(i int) bool { return i < n }
			ok = give(fmt.Sprint("all but number ", n), but, writes(but), 512) &&
				give(fmt.Sprint("number ", n, " alone"), only, writes(only), 512) &&
				give(fmt.Sprint("the first ", n), until, writes(until), 512) &&
				give(fmt.Sprint("names all but ", n), but, data(true), 512) &&
				give(fmt.Sprint("data all but ", n), always(true), writes(but), 512)
		}
		for n := 0; n < *cuts && ok && most > 0; n++ {
			salt, odds := src.Uint64(), 1+src.Uint64N(15)
			coin := func(of ...uint64) bool {
				h := fnv.New64a()
				fmt.Fprint(h, salt, of)
				return h.Sum64()>>8%16 < odds
			}
			sector := func(f uint64, w, s int) bool { return coin(f, uint64(w), uint64(s)) }
			ok = give(fmt.Sprintf("random %x", salt), func(i int) bool { return coin(uint64(i)) }, sector, []int64{512, 4096}[n%2])
		}
	}
}

func (m image) key() uint64 {
	h := sha256.New()
	for _, path := range slices.Sorted(maps.Keys(m)) {
		if !strings.Contains(path, ".rimegate-") {
			fmt.Fprintln(h, path, len(m[path]))
			h.Write(m[path])
		}
	}
	return native.Uint64(h.Sum(nil))
}

// put makes a folder what the image is.
func (m image) put(t *testing.T, from, to string) {
	t.Helper()
	if err := errors.Join(os.RemoveAll(filepath.Join(to, "new")), os.MkdirAll(to, 0o700)); err != nil {
		t.Fatal(err)
	}
	list, _ := os.ReadDir(to)
	for _, e := range list {
		_ = os.Remove(filepath.Join(to, e.Name()))
	}
	for _, path := range slices.Sorted(maps.Keys(m)) {
		name := filepath.Join(to, strings.TrimPrefix(path, from))
		err := os.Mkdir(name, 0o700)
		if m[path] != nil {
			_ = os.Remove(name)
			err = os.WriteFile(name, m[path], 0o600)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
}
