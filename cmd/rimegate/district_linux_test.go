//go:build !noshare

package main

import (
	"flag"
	"fmt"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"
	"time"
)

var districtFarmCount = flag.Int("district", 0, "farms of a district whose memory is measured; 0 for none")

// The memory of the list is that of the largest farm and of the rows.
func TestDistrictMemory(t *testing.T) {
	if *districtFarmCount == 0 {
		t.Skip("needs -district N")
	}
	smallFarm(t)
	var farms []string
	for i := range *districtFarmCount {
		farms = append(farms, fmt.Sprintf("farm%03d", i))
	}
	h := hostFarms(t, farms...)
	lines := farmLines(t)
	for _, id := range farms {
		h.seat(id, id, lines...)
	}
	self, err := exec.LookPath("rimegate")
	if err != nil {
		t.Fatal(err)
	}
	used := func(n int) (kb int64) {
		c := exec.Command(self, "district", "--server", h.url(), "--creds", h.path("farms"), "--farm", strings.Join(farms[:n], ","), "today")
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		ended := make(chan error, 1)
		go func() { ended <- c.Wait() }()
		for {
			if text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", c.Process.Pid)); err == nil { // its own peak, not that of who started it
				_, peak, _ := strings.Cut(string(text), "VmHWM:")
				if f := strings.Fields(peak); len(f) > 0 {
					kb, _ = strconv.ParseInt(f[0], 10, 64)
				}
			}
			select {
			case err := <-ended:
				if err != nil {
					t.Fatal(err)
				}
				t.Logf("%d farms: %d KB at most, %v of processors", n, kb, c.ProcessState.UserTime()+c.ProcessState.SystemTime())
				return kb
			case <-time.After(2 * time.Millisecond):
			}
		}
	}
	few, all := used(len(farms)/10), used(len(farms))
	if all-few > int64(len(farms))*32 {
		t.Errorf("%d KB more for ten times the farms", all-few)
	}
}
