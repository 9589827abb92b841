package main

import (
	"bytes"
	"fmt"
	"slices"

	"github.com/creack/pty"
)

// opening returns the median CPU time in seconds of the screens on a terminal of 80x24, from
// their start until the day's list is drawn and they are left.
func (b *bench) opening(line, drawn string) float64 {
	var cpu []float64
	for range *runs {
		c := b.command(line)
		c.Env = append(c.Env, "TERM=xterm-256color")
		f, err := pty.StartWithSize(c, &pty.Winsize{Rows: 24, Cols: 80})
		check(err)
		var sent []byte
		for room := make([]byte, 4096); ; {
			n, err := f.Read(room)
			if sent = append(sent, room[:n]...); bytes.Contains(sent, []byte(drawn)) {
				break
			}
			check(err)
		}
		_, err = f.WriteString("q")
		check(err)
		go func() { // what else it draws is to find room
			for room := make([]byte, 4096); err == nil; {
				_, err = f.Read(room)
			}
		}()
		check(c.Wait())
		f.Close()
		cpu = append(cpu, (c.ProcessState.UserTime() + c.ProcessState.SystemTime()).Seconds())
	}
	slices.Sort(cpu)
	m := cpu[len(cpu)/2]
	fmt.Printf("%-42s %8.3f\n", short(line), m)
	return m
}
