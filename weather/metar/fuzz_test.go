package metar

import (
	"testing"

	"rimegate/weather/internal/readertest"
)

func FuzzRead(f *testing.F) {
	readertest.Fuzz(
		f, Format.Stream,
		"202510141053 KTST 141053Z 00000KT 10SM CLR M00/M03 A3001 RMK T10021028 21017 401001028\n"+
			"2025-10-14T11:53Z KTST 141153Z 00000KT 10SM CLR 01/M03=\n"+
			"2025-10-14 12:53 METAR KTST 141253Z VRB02G15MPS 02/// BECMG M05/M06 RMK\n"+
			"  T00211028\n",
		"2025/12/31 23:53\n"+
			"KTST 312353Z NIL\n"+
			"KTST 010053Z 18010KMH XX/XX\n"+
			"KTST 291253Z 3/4SM M1/2\n",
	)
}
