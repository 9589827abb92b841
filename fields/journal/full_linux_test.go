package journal

import (
	"fmt"
	"os"
	"os/signal"
	"strings"
	"syscall"
	"testing"

	"rimegate/fields"
)

func init() { roles["full"] = playFull }

// playFull appends until the disk, as far as this program may use it, is full.
func playFull(s *Store) int {
	info, err := os.Stat(s.Path)
	if err != nil {
		fmt.Println(err)
		return 1
	}
	signal.Ignore(syscall.SIGXFSZ)
	room := 3 * uint64(info.Size()) // the file doubles when it grows: once, but not twice
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: room, Max: room}); err != nil {
		fmt.Println(err)
		return 1
	}
	for i := range 200 {
		if _, err := s.Append([]fields.Entry{sighting(strings.Repeat("x", 5000))}); err != nil {
			fmt.Printf("%d acknowledged: %v\n", i, err)
			if strings.Contains(err.Error(), syscall.EFBIG.Error()) { // bbolt keeps only its words
				return 0
			}
			return 1
		}
	}
	fmt.Println("there was room for everything")
	return 1
}

func TestDiskFull(t *testing.T) {
	s := newJournal(t)
	mustAppend(t, s, randomEntries(seeded(4), 40)...)
	cmd, out := other(t, s, "full", "", 0)
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	out.Scan()
	said := out.Text()
	if err := cmd.Wait(); err != nil {
		t.Fatalf("%v: %s", err, said)
	}
	var acknowledged int
	if _, err := fmt.Sscan(said, &acknowledged); err != nil || acknowledged == 0 {
		t.Fatalf("%v: %s", err, said)
	}
	if strings.Count(said, s.Path) != 1 || !strings.Contains(said, "could not be written ("+syscall.EFBIG.Error()+")") {
		t.Error(said)
	}
	if n := len(mustLoad(t, s).Entries); n != 40+acknowledged {
		t.Errorf("%d entries, want %d", n, 40+acknowledged)
	}
	mustAppend(t, s, sighting("after room was made"))
}
