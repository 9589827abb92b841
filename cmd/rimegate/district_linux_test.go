//go:build !noshare

package main

import (
	"flag"
	"fmt"
	"os/exec"
	"strings"
	"syscall"
	"testing"
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
	used := func(n int) int64 {
		c := exec.Command(self, "district", "--server", h.url(), "--creds", h.path("farms"), "--farm", strings.Join(farms[:n], ","), "today")
		out, err := c.Output()
		if err != nil {
			t.Fatal(err)
		}
		kb := c.ProcessState.SysUsage().(*syscall.Rusage).Maxrss
		t.Logf("%d farms: %d KB at most, %v of processors, a list of %d KB", n, kb, c.ProcessState.UserTime()+c.ProcessState.SystemTime(), len(out)>>10)
		return kb
	}
	few, all := used(len(farms)/10), used(len(farms))
	if all-few > int64(len(farms))*64 {
		t.Errorf("%d KB more for ten times the farms", all-few)
	}
}
