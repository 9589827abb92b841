package eccc

import (
	"testing"

	"rimegate/weather/internal/readertest"
)

func FuzzRead(f *testing.F) {
	readertest.Fuzz(
		f, Format.Stream,
		"\"Climate ID\",\"Date/Time (LST)\",\"Temp (°C)\",\"Temp Flag\"\n"+
			"\"1\",\"2016-11-06 01:00\",\"-0.5\",\"E\"\n"+
			"1,2016-11-06T02:00:30,-1,\n"+
			"\"1\", \"2016-11-06 24:00\" ,\"\",\"M\"\n",
		"\"Station Name\",\"X LAKE\"\n"+
			"\n"+
			"\"Date/Time\",\"Min Temp (°C)\",\"Min Temp Flag\"\n"+
			"\"2010-09-16\",\"3.0\",\"\"\n"+
			"\"2010-09-17\",\"\",\"Y\"\n",
	)
}
