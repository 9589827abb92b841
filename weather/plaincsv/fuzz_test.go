package plaincsv

import (
	"testing"

	"rimegate/weather/internal/readertest"
)

func FuzzRead(f *testing.F) {
	readertest.Fuzz(
		f, Format.Stream,
		"time,temp_c,humidity\n"+
			"2026-10-06 05:00,-2.2,74\n"+
			"2026-10-06T06:00Z,\" -1.5\",\n"+
			"2026-10-06 24:00,28F,7\n"+
			"2026-11-01 01:30,-,\n"+
			"2026-10-06 07:00,3,7,8\n",
		"site;time;temp;unit\n"+
			"Creek;2026-10-06 05:00:30;−2,2;°C\n"+
			"Creek;6-Oct-2026 5:00 PM;<0;C\n",
		"year,month,day,hour,temp_f\n"+
			"2026,10,6,5,28\n"+
			"2026,02,30,25,M\n",
	)
}
