#!/usr/bin/env bash
# What people would do otherwise: hold dates of 300 paddocks by SQL and by a spreadsheet
# recalculated without a window, against those of rimegate, for the one rule that both can
# express: 14 days from the last night at or below the trigger on a stand with prussic-acid
# plants. Says whether the dates are the same, and the CPU seconds of each.
#
#   bash testdata/scale/otherwise.sh
#
# Neither of them knows what rimegate answers besides: nights nobody read or that may have
# frozen, short shoots, drought, stands that are dead, nitrate, what a veterinarian said. They
# say nothing of the paddocks without such a night; rimegate says CLEAR to none of them here.
# It needs sqlite3; the spreadsheet (soffice, of LibreOffice Calc) is left out where it is not there.
set -euo pipefail
cd "$(dirname "$0")/../.."
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
CGO_ENABLED=0 go build -tags urfave_cli_no_docs -o "$work/rimegate" ./cmd/rimegate
cd "$work"
export RIMEGATE_BY=Maren RIMEGATE_NOW=2026-10-11T07:00:00-06:00 TIMEFORMAT='%U %S'
today=${RIMEGATE_NOW%%T*}

awk '
BEGIN {
  srand(7); split("31 30 31", long, " ")
  for (d = 0; d < 57; d++) { day_of = 15 + d; for (m = 8; day_of > long[m - 7]; m++) day_of -= long[m - 7]; days[d] = sprintf("2026-%02d-%02d", m, day_of) }
  print e("farm", "2026-05-01", "\"name\":\"Wide Valley\",\"zone\":\"America/Regina\",\"units\":\"metric\",\"contacts\":{\"manager\":\"Maren 555-0101\"},\"frost_watch\":{\"from\":\"08-15\",\"to\":\"06-15\"}")
  for (s = 0; s < 20; s++) print e("station", "2026-05-01", sprintf("\"station\":\"s%02d\",\"name\":\"S%02d\",\"height_m\":1.5", s, s))
  for (p = 0; p < 300; p++) {
    print e("paddock", "2026-05-01", sprintf("\"paddock\":\"p%03d\",\"name\":\"P%03d\",\"station\":\"s%02d\",\"low_lying\":false", p, p, p % 20))
    plant = p % 3 ? "sorghum-sudangrass" : "oats"
    print e("sown", "2026-06-05", sprintf("\"paddock\":\"p%03d\",\"species\":[{\"species\":\"%s\"}],\"new_stand\":true,\"ended\":\"tilled\"", p, plant))
    print e("walk", "2026-08-10", sprintf("\"paddock\":\"p%03d\",\"shortest_cm\":110,\"frost_damage\":\"none\",\"killed\":\"none\",\"weeds_checked\":true,\"stress_free\":true", p))
    printf "p%03d,s%02d,%d\n", p, p % 20, p % 3 != 0 > "paddocks.csv"
  }
  for (s = 0; s < 20; s++) for (d = 0; d < 57; d++) {
    day = days[d]
    low = int((12 - d * 0.22 + rand() * 8 - 4) * 10) / 10
    print e("reading", day, sprintf("\"station\":\"s%02d\",\"night\":\"%s\",\"low_c\":%.1f,\"covers\":true,\"source\":\"logger\"", s, day, low))
    printf "s%02d,%s,%.1f\n", s, day, low > "nights.csv"
  }
}
function e(kind, day, rest,   on) {
  on = kind == "reading" ? "" : sprintf("\"on\":\"%s\",", day)
  return sprintf("{\"id\":\"01KA0000000000000000%06d\",\"kind\":\"%s\",\"recorded\":\"%sT12:00:00-06:00\",\"by\":\"Maren\",%s%s}", ++n, kind, day, on, rest)
}
' >farm.jsonl
./rimegate --journal farm.journal journal import farm.jsonl >import.txt
trigger=$(./rimegate rules show prussic.frost.trigger | sed -nE '1,/°C/s/.*(^| )(-?[0-9.]+) °C.*/\2/p')

timed() { # name, command
  name=$1
  shift
  { time "$@" >"$name.out" 2>"$name.err"; } 2>"$name.time"
  awk -v n="$name" '{printf "%-12s %6.2f CPU s\n", n, $1 + $2}' "$name.time"
}

timed rimegate ./rimegate --journal farm.journal today --csv --use graze --class open-cattle
awk -F, '$7 == "hold" {print $3 "," $9}' rimegate.out | sort >rimegate.dates

cat >holds.sql <<SQL
create table paddocks (paddock, station, acid integer);
create table nights (station, night, low real);
.mode csv
.import paddocks.csv paddocks
.import nights.csv nights
select paddock || ',' || date(max(night), '+14 days') from paddocks join nights using (station)
where acid = 1 and low <= $trigger group by paddock having date(max(night), '+14 days') >= '$today' order by 1;
SQL
timed sql sqlite3 -init holds.sql :memory: .quit
tr -d '"\r' <sql.out >sql.dates

if command -v soffice >/dev/null; then
  awk -F, -v trigger="$trigger" '
    function number(v) { return "<table:table-cell office:value-type=\"float\" office:value=\"" v "\"/>" }
    function words(v) { return "<table:table-cell office:value-type=\"string\"><text:p>" v "</text:p></table:table-cell>" }
    BEGIN {
      print "<?xml version=\"1.0\" encoding=\"UTF-8\"?><office:document xmlns:office=\"urn:oasis:names:tc:opendocument:xmlns:office:1.0\" xmlns:table=\"urn:oasis:names:tc:opendocument:xmlns:table:1.0\" xmlns:text=\"urn:oasis:names:tc:opendocument:xmlns:text:1.0\" xmlns:of=\"urn:oasis:names:tc:opendocument:xmlns:of:1.2\" office:version=\"1.2\" office:mimetype=\"application/vnd.oasis.opendocument.spreadsheet\"><office:body><office:spreadsheet><table:table table:name=\"Paddocks\">"
    }
    FILENAME == "paddocks.csv" {
      f = "of:=IF([.C" FNR "]=1;COM.MICROSOFT.MAXIFS([Nights.$B$1:.$B$1140];[Nights.$A$1:.$A$1140];[.B" FNR "];[Nights.$C$1:.$C$1140];&quot;&lt;=" trigger "&quot;)+14;0)"
      print "<table:table-row>" words($1) words($2) number($3) "<table:table-cell table:formula=\"" f "\"/></table:table-row>"
    }
    FILENAME == "nights.csv" {
      if (FNR == 1) print "</table:table><table:table table:name=\"Nights\">"
      split($2, d, "-")
      at = 46235 + d[3] - 1 + (d[2] > 8 ? 31 : 0) + (d[2] > 9 ? 30 : 0) # 2026-08-01 is 46235
      print "<table:table-row>" words($1) number(at) number($3) "</table:table-row>"
    }
    END { print "</table:table></office:spreadsheet></office:body></office:document>" }' paddocks.csv nights.csv >holds.fods
  timed spreadsheet soffice -env:UserInstallation="file://$work/profile" --headless --convert-to csv holds.fods
  awk -F, '$4 > 14 {print $1 "," $4}' holds.csv >serials.csv
  sqlite3 :memory: -cmd 'create table s (p, n integer)' -cmd '.mode csv' -cmd '.import serials.csv s' \
    "select p || ',' || date('1899-12-30', n || ' days') from s where date('1899-12-30', n || ' days') >= '$today' order by 1" | tr -d '"\r' >spreadsheet.dates
fi

echo "$(wc -l <rimegate.dates) paddocks on hold"
for other in sql spreadsheet; do
  [ -e $other.dates ] || { echo "$other: not there, left out"; continue; }
  if diff rimegate.dates $other.dates >$other.diff; then echo "$other: the same dates"; else
    echo "$other: other dates"
    head "$other.diff"
    exit 1
  fi
done
