package ghcnd

import (
	"testing"

	"rimegate/weather/internal/readertest"
)

func FuzzRead(f *testing.F) {
	readertest.Fuzz(
		f, Format.Stream,
		"USC00999999,20251014,TMIN,-22,,,7,0700\n"+
			"USC00999999,20251014,TMAX,150,,,7,0700\n"+
			"USC00999999,20251015,\"TMIN\",-99,,,7,\n"+
			"USC00999998,20251015,TMIN,1,,S,7,2400\n",
		"USC00999999202510TMIN  -22  7-9999     -99 S7\n",
	)
}
