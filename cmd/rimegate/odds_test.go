package main

import (
	"fmt"
	"os"
	"strings"
	"testing"
	"time"
)

// Ten years of a station, brought in as a file, tell the odds.
func TestOddsOfAnImportedRecord(t *testing.T) {
	smallFarm(t)
	var b strings.Builder
	b.WriteString("date,low_c\n")
	for y := 2016; y < 2026; y++ {
		from := time.Date(y, 8, 1, 0, 0, 0, 0, time.UTC)
		for i := 0; i < 153; i++ {
			c := 5.0
			if i == 60+2*(y-2016) { // 30 September, two days later every year
				c = -1.5
			}
			fmt.Fprintf(&b, "%s,%.1f\n", from.AddDate(0, 0, i).Format("2006-01-02"), c)
		}
	}
	if err := os.WriteFile("years.csv", []byte(b.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	if status, _, errOut := invoke(t, "nights", "--odds"); status != statusWords || !strings.Contains(errOut, "the odds at home cannot be told: 0 seasons with a known first frost; odds need at least 8") {
		t.Fatalf("%d %q", status, errOut)
	}
	if status, _, errOut := invoke(t, "import", "--station", "home", "years.csv"); status != statusDone {
		t.Fatalf("%d %q", status, errOut)
	}
	status, out, errOut := invoke(t, "nights", "--odds", "--ready", "20-Oct")
	text := strings.Join(strings.Fields(out), " ")
	for _, want := range []string{
		"10 seasons, 2016 to 2025: 10 known first frosts.", "50 of 100 Fri 9 Oct",
		"by Tue 20 Oct, when it would be ready: fitted", "counted over 99 in 100",
	} {
		if status != statusDone || !strings.Contains(text, want) {
			t.Fatalf("status %d %q; %q is not in\n%s", status, errOut, want, out)
		}
	}
	for flag, want := range map[string]string{"--below=20C": "--below: lies between", "--ready=1-Sep-2027": "--ready:", "--paddock=creek": "--paddock: and --odds are both given"} {
		if status, _, errOut := invoke(t, "nights", "--odds", flag); status != statusWords || !strings.Contains(errOut, want) {
			t.Errorf("%s: %d %q", flag, status, errOut)
		}
	}
}
