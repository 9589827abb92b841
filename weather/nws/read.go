// Package nws reads GeoJSON of the United States National Weather Service,
// api.weather.gov: the observations of a station (last night), and the gridpoint
// forecast (tonight). Forecast lows are returned as forecasts and never as
// readings.
//
// Format: NWS, "API Web Service",
// https://www.weather.gov/documentation/services-web-api . Values carry their unit;
// a null is "no value" and is common. Times are UTC. Answers in JSON-LD, without
// features and properties, are read too, and several answers one behind the other.
// Quality letters are those of MADIS, "QC data descriptor values",
// https://madis-data.cprk.ncep.noaa.gov/doc/qc_info.txt . Data: open, free for any purpose.
package nws

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"rimegate/fields"
	"rimegate/fields/lazy"
	"rimegate/weather"
	"rimegate/weather/internal/report"
	"rimegate/weather/internal/table"
)

// Format is an answer of either kind.
var Format = table.Format{
	Key: "nws", Name: "NWS observations", Unit: "degrees Celsius, as each value says", Own: "each value names its own", Sniff: sniff, Read: stream,
}

const forecastName = "NWS gridpoint forecast"

// maxBytes bounds a file: 500 observations, the most one answer holds, are 2 MB.
const maxBytes = 64 << 20

const asItIs = "save the answer of api.weather.gov as it is"

// answer is what the service sends: a list of observations, one observation or a
// forecast as properties, or an error. JSON-LD calls the list @graph and has the
// properties without that word.
type answer struct {
	properties
	Features   *[]json.RawMessage `json:"features"`
	Graph      *[]json.RawMessage `json:"@graph"`
	Properties *properties        `json:"properties"`
	Detail     any                `json:"detail"`
}

// answers are the items of a list, read at once where nothing in them is odd. The last of
// two lists counts.
type answers []answer

func (l *answers) UnmarshalJSON(text []byte) error {
	*l = nil // else the values of an earlier list shine through
	return json.Unmarshal(text, (*[]answer)(l))
}

// told are the properties of an answer, wherever they stand.
func (a *answer) told() *properties {
	if a.Properties != nil {
		return a.Properties
	}
	return &a.properties
}

// properties are those of an observation or of a gridpoint forecast.
type properties struct {
	Station   string   `json:"station"`
	StationID string   `json:"stationId"`
	Name      string   `json:"stationName"`
	Timestamp string   `json:"timestamp"`
	Raw       string   `json:"rawMessage"`
	Temp      quantity `json:"temperature"`
	Dew       quantity `json:"dewpoint"`
	Wind      quantity `json:"windSpeed"`
	Min24     quantity `json:"minTemperatureLast24Hours"`

	UpdateTime string          `json:"updateTime"`
	GridID     string          `json:"gridId"`
	GridX      any             `json:"gridX"`
	GridY      any             `json:"gridY"`
	Min        *quantity       `json:"minTemperature"`
	Periods    json.RawMessage `json:"periods"`
}

// quantity is one value, or a series of them in a forecast.
type quantity struct {
	UnitCode string   `json:"unitCode"`
	Uom      string   `json:"uom"`
	Value    *float64 `json:"value"`
	QC       string   `json:"qualityControl"`
	Values   []struct {
		ValidTime string   `json:"validTime"`
		Value     *float64 `json:"value"`
	} `json:"values"`
}

type reader struct {
	*table.File
	raw        int  // readings taken from the raw report
	fahrenheit bool // some value is in °F
}

func stream(f *table.File) (*weather.Result, error) {
	p := &reader{File: f}
	text, err := f.All(maxBytes)
	if err == nil {
		err = plain(p.read(text))
	}
	res, err := f.Finish(err)
	if err != nil {
		return nil, err
	}
	if p.fahrenheit {
		res.Unit = "degrees Fahrenheit, as each value says"
	}
	if p.raw > 0 {
		res.Note(weather.Count(p.raw, "reading") + " from the raw report, the decoded value being empty")
	}
	return res, nil
}

// plain turns errors of the decoder into a sentence.
func plain(err error) error {
	var syn *json.SyntaxError
	var typ *json.UnmarshalTypeError
	switch {
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return table.Refuse(0, "the JSON ends in the middle", "check that the whole file was saved")
	case errors.As(err, &syn):
		return table.Refuse(0, fmt.Sprintf("it is not JSON: byte %d cannot stand there", syn.Offset), asItIs)
	case errors.As(err, &typ):
		return table.Refuse(0, holds(typ)+" where the format has something else", asItIs)
	}
	return err
}

func holds(typ *json.UnmarshalTypeError) string {
	return fmt.Sprintf("the field %s holds a %s", weather.Quote(strings.TrimPrefix(typ.Field, "properties.")), weather.Clean(typ.Value, 20))
}

// read reads an answer, or several one behind the other.
func (p *reader) read(text []byte) error {
	var whole struct {
		answer
		Features answers `json:"features"`
		Graph    answers `json:"@graph"`
	}
	if json.Unmarshal(text, &whole) == nil && len(whole.Features)+len(whole.Graph) > 0 && whole.Detail == nil {
		list := whole.Features
		if list == nil {
			list = whole.Graph
		}
		for i := range list {
			p.observe(list[i].told(), nil)
		}
		return nil
	}
	// The long way says of each what is odd.
	dec := json.NewDecoder(bytes.NewReader(text))
	for n := 1; ; n++ {
		at := dec.InputOffset()
		if body := bytes.TrimSpace(text[at:]); len(body) > 0 && body[0] != '{' {
			if n > 1 {
				return table.Refuse(0, fmt.Sprintf("something follows the JSON, from byte %d on", at+1), asItIs)
			}
			return table.Refuse(0, "the JSON is not an object", asItIs)
		}
		var a answer
		err := dec.Decode(&a)
		switch {
		case err == io.EOF && n > 1:
			return nil
		case err != nil:
			return err
		case n > 1 && p.Res.Format == forecastName:
			return table.Refuse(0, "something follows the forecast", "bring in each answer of the service by itself")
		}
		if err := p.answer(&a, n == 1); err != nil {
			return err
		}
	}
}

// answer takes an answer; first is true for the first of a file.
func (p *reader) answer(a *answer, first bool) error {
	list, props := a.Features, a.told()
	if list == nil {
		list = a.Graph
	}
	if s, ok := a.Detail.(string); ok {
		return table.Refuse(0, "the service answered with an error: "+weather.Clean(s, 100), "ask again later")
	}
	switch {
	case list != nil:
		for _, raw := range *list {
			var feature answer
			err := json.Unmarshal(raw, &feature)
			p.observe(feature.told(), err)
		}
	case props.Min != nil || props.GridID != "" && props.Timestamp == "" && props.Periods == nil:
		if !first {
			return table.Refuse(0, "a forecast follows observations", "bring in each answer of the service by itself")
		}
		return p.forecast(props)
	case props.Timestamp != "":
		p.observe(props, nil)
	case props.Periods != nil:
		return table.Refuse(0, "this is the forecast in periods, whose lows are rounded", "take the gridpoint forecast (forecastGridData) instead")
	case a.Properties == nil:
		return table.Refuse(0, "the JSON has neither features nor properties", asItIs)
	default:
		return table.Refuse(0, "the JSON holds neither observations nor a gridpoint forecast", asItIs)
	}
	return nil
}

// unit is the unit of a quantity without its vocabulary, such as degC of wmoUnit:degC.
func (q *quantity) unit() string {
	code := q.UnitCode + q.Uom
	return code[strings.IndexByte(code, ':')+1:]
}

// celsius converts a value of a quantity. why is not empty if its unit is not known or
// the value is impossible.
func (p *reader) celsius(q *quantity, v float64) (c float64, why string) {
	switch q.unit() {
	case "degC":
		c = v
	case "degF":
		p.fahrenheit, c = true, weather.FtoC(v)
	case "K":
		c = v - 273.15
	case "":
		return 0, "the value does not say its unit"
	default:
		return 0, weather.Quote(q.UnitCode+q.Uom) + " is not a unit of temperature"
	}
	if !weather.Possible(c) {
		return 0, fmt.Sprintf("%.1f °C is no possible air temperature", c)
	}
	return math.Round(c*1e4) / 1e4, "" // without the tail that conversion leaves
}

// optional returns a quantity in °C, nil if it has no value that can be used.
func (p *reader) optional(q *quantity) *float64 {
	if q.Value == nil || q.barred() {
		return nil
	}
	c, why := p.celsius(q, *q.Value)
	if why != "" {
		return nil
	}
	return &c
}

// barred reports whether the quality letter says that the value failed a check (X), is
// questioned (Q), was called bad by a person (B), or was not measured but interpolated (I)
// or put right by estimate (W). Older answers write qc:X.
func (q *quantity) barred() bool {
	switch q.QC[strings.IndexByte(q.QC, ':')+1:] {
	case "X", "Q", "B", "I", "W":
		return true
	}
	return false
}

// observe takes an observation, or the error that reading it gave: one odd feature does
// not spoil the others.
func (p *reader) observe(o *properties, err error) {
	p.Res.Read++
	n := p.Res.Read
	reject := func(what string) { p.Reject(fmt.Sprintf("observation %d: %s", n, what)) }
	var typ *json.UnmarshalTypeError
	if errors.As(err, &typ) {
		reject(holds(typ))
		return
	}
	id := o.StationID
	if id == "" {
		id = o.Station[strings.LastIndexByte(o.Station, '/')+1:]
	}
	if !p.Take(id, func() { p.raw = 0 }) {
		return
	}
	if p.Name == "" {
		p.Name = o.Name
	}
	s, ok := table.ParseStamp(o.Timestamp)
	if !ok || !s.Exact() || !s.Zoned {
		reject(weather.Quote(o.Timestamp) + " is not an instant with its zone")
		return
	}
	out := weather.Observation{At: s.UTC(), DewC: p.optional(&o.Dew)}
	var remarks report.Report
	if len(o.Raw) < 4096 {
		remarks = report.Parse(o.Raw)
	}
	if remarks.Contradicts != nil {
		remarks.TempC = nil
	}
	lows := append(remarks.Lows(), table.Low{Hours: 24, C: p.optional(&o.Min24), What: "minimum of the last 24 hours"})
	switch {
	case o.Temp.Value != nil:
		c, why := p.celsius(&o.Temp, *o.Temp.Value)
		barred := why == "" && o.Temp.barred()
		if barred {
			p.Failed(c)
			p.Doubt(out.At, c)
			why = "failed the source's quality check " + weather.Quote(o.Temp.QC)
		}
		// The lowest of the hours before is a reading of its own.
		if why != "" && (!barred || !slices.ContainsFunc(lows, table.Low.Known)) {
			reject(why)
			return
		}
		out.TempC, out.HasTemp = c, why == ""
	case remarks.TempC != nil && weather.Possible(*remarks.TempC):
		out.TempC, out.HasTemp = *remarks.TempC, true
		p.raw++
	case remarks.Below:
		out.Below = true
		p.raw++
	}
	if factor := map[string]float64{"km_h-1": 1 / 3.6, "m_s-1": 1}[o.Wind.unit()]; factor > 0 && o.Wind.Value != nil && !o.Wind.barred() {
		if ms := *o.Wind.Value * factor; ms >= 0 && ms <= table.MaxWindMS {
			out.WindMS = &ms
		}
	}
	p.Keep(out, lows...)
}

// maxEntry bounds the validity of one forecast entry.
const maxEntry = 15 * 24 * time.Hour

// forecast takes the lows of a gridpoint forecast.
func (p *reader) forecast(g *properties) error {
	p.Res.Format = forecastName
	if g.GridID != "" {
		p.Res.Station = weather.Clean(fmt.Sprintf("%s %v,%v", g.GridID, g.GridX, g.GridY), 60)
	}
	issued := p.Opt.Received
	if g.UpdateTime != "" {
		t, err := time.Parse(time.RFC3339, g.UpdateTime)
		if err != nil {
			return table.Refuse(0, "updateTime "+weather.Quote(g.UpdateTime)+" is not an instant", asItIs)
		}
		issued = t
	}
	if issued.IsZero() {
		return table.Refuse(0, "the forecast does not say when it was made", "say when it was received")
	}
	lows := map[fields.Date]float64{}
	put := func(d fields.Date, c float64) {
		if was, ok := lows[d]; !ok || c < was {
			lows[d] = c
		}
	}
	p.entries(g.Min, "minTemperature", func(from, to time.Time, c float64) {
		put(weather.NightOfSpan(from, to, p.Opt.Loc), c)
	})
	// An entry of the hourly series may stand for several hours.
	p.entries(&g.Temp, "temperature", func(from, to time.Time, c float64) {
		for d, last := fields.NightOf(from, p.Opt.Loc), fields.NightOf(to.Add(-time.Second), p.Opt.Loc); d <= last; d++ {
			put(d, c)
		}
	})
	for _, d := range slices.Sorted(maps.Keys(lows)) {
		low := lows[d]
		p.Res.Forecasts = append(p.Res.Forecasts, fields.Forecast{Night: d, LowC: &low, Issued: issued, Source: forecastName})
	}
	p.Res.Note("lows are the lower of the forecast minimum and the hourly forecast of the night")
	return nil
}

// entries gives each forecast of a series, in °C, with the time it is for.
func (p *reader) entries(s *quantity, name string, each func(from, to time.Time, c float64)) {
	if s == nil {
		return
	}
	for i, e := range s.Values {
		p.Res.Read++
		if e.Value == nil {
			p.Res.Missing++
			continue
		}
		from, to, ok := interval(e.ValidTime)
		c, why := p.celsius(s, *e.Value)
		if !ok {
			why = weather.Quote(e.ValidTime) + " is not a start and a duration"
		}
		if why != "" {
			p.Reject(fmt.Sprintf("%s, entry %d: %s", name, i+1, why))
			continue
		}
		p.Res.Kept++
		each(from, to, c)
	}
}

// interval reads start/duration of ISO 8601, such as
// 2025-10-15T00:00:00+00:00/PT13H or .../P7DT5H.
func interval(s string) (from, to time.Time, ok bool) {
	a, b, _ := strings.Cut(s, "/")
	from, err := time.Parse(time.RFC3339, a)
	d := duration(b)
	return from, from.Add(d), err == nil && from.Year() >= 1971 && from.Year() <= 2200 && d > 0 && d <= maxEntry
}

var durationForm = lazy.Regexp(`^P(?:(\d{1,3})D)?(?:T(?:(\d{1,3})H)?(?:(\d{1,3})M)?)?$`)

// duration reads days, hours and minutes; 0 for anything else.
func duration(s string) (total time.Duration) {
	m := durationForm().FindStringSubmatch(s)
	for i, unit := range []time.Duration{24 * time.Hour, time.Hour, time.Minute} {
		if m != nil {
			n, _ := strconv.Atoi(m[i+1])
			total += time.Duration(n) * unit
		}
	}
	return total
}

// sniff says why a file that begins with head is an answer of this service, ""
// if it is not.
func sniff(head []byte) string {
	h := bytes.TrimLeft(head, " \t\r\n")
	if len(h) == 0 || h[0] != '{' {
		return ""
	}
	for _, mark := range []string{"api.weather.gov", `"wmoUnit:`, `"forecastOffice"`, `"gridId"`} {
		if bytes.Contains(h, []byte(mark)) {
			return "it is JSON that names " + strings.Trim(mark, `":`)
		}
	}
	if bytes.Contains(h, []byte(`"features"`)) || bytes.Contains(h, []byte(`"properties"`)) {
		return "it is JSON with features or properties"
	}
	return ""
}
