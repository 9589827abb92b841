package weather

import (
	"encoding/json"
	"fmt"
	"os/exec"
	"testing"
	"time"

	"rimegate/fields"
)

// TestSunAgainstSuncalc compares sunrise and sunset with the npm package suncalc
// (https://www.npmjs.com/package/suncalc), written apart from this code. It is
// skipped where Node.js does not find that package; NODE_PATH says where it lies.
func TestSunAgainstSuncalc(t *testing.T) {
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("no Node.js here")
	}
	type place struct{ Lat, Lon float64 }
	places := []place{{35, -97}, {40, -105}, {45, -93}, {50.4, -104.6}, {50.7, -120.45}, {54, -113}, {-37, 174.8}}
	first := fields.MakeDate(2025, 1, 1)
	script := fmt.Sprintf(`
let S; try { S = require('suncalc') } catch (e) { console.log('none'); process.exit(0) }
S = S.default || S;
const out = [];
for (const [lat, lon] of %s) for (let d = 0; d < 365; d += 3) {
  const noon = new Date(Date.UTC(2025, 0, 1 + d, 12) - lon / 15 * 3600e3);
  const x = S.getTimes(noon, lat, lon);
  out.push([x.sunrise.getTime(), x.sunset.getTime()]);
}
console.log(JSON.stringify(out))`, func() string {
		var list [][2]float64
		for _, p := range places {
			list = append(list, [2]float64{p.Lat, p.Lon})
		}
		b, _ := json.Marshal(list)
		return string(b)
	}())
	text, err := exec.Command(node, "-e", script).Output()
	if err != nil {
		t.Skipf("Node.js does not run the script: %v", err)
	}
	var theirs [][2]float64
	if err := json.Unmarshal(text, &theirs); err != nil {
		t.Skip("Node.js does not find suncalc")
	}
	worst, n := 0.0, 0
	for i, p := range places {
		loc := time.FixedZone("mean sun", int(p.Lon/15*3600))
		for k := range 122 {
			rise, set, ok := Sun(first.Add(3*k), p.Lat, p.Lon, loc)
			if !ok {
				t.Fatal("the sun stays where it is")
			}
			want := theirs[i*122+k]
			for j, ours := range []time.Time{rise, set} {
				off := ours.Sub(time.UnixMilli(int64(want[j]))).Abs().Minutes()
				worst = max(worst, off)
				n++
				if off > 0.5 {
					t.Errorf("%v, %s: %v, suncalc says %v", p, first.Add(3*k), ours.UTC(), time.UnixMilli(int64(want[j])).UTC())
				}
			}
		}
	}
	t.Logf("%d sunrises and sunsets, at most %.2f minutes apart", n, worst)
}
