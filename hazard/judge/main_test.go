package judge

import (
	"os"
	"runtime/debug"
	"testing"
)

// The plain engine makes much garbage and keeps little: collect less often.
func TestMain(m *testing.M) {
	debug.SetGCPercent(800)
	os.Exit(m.Run())
}
