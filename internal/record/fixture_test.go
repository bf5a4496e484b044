package record

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"draghand/internal/pull"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update-records", false, "write testdata/records anew")

const (
	fixtures = "../../testdata/records"
	example  = "2026-11-25T140322Z-M1-3"   // the worked example of docs/pull-record.md
	cutOff   = "2026-11-25T141055Z-M1-4"   // the same rig, its writer killed within a line
	pagePath = "../../docs/pull-record.md" // holds example, file by file
)

// writeFixtures makes the records of testdata. Simulated: the readings are
// typed in, no metal was pulled.
func writeFixtures(t *testing.T) {
	shelf := t.TempDir()
	h := simulatedHead()
	h.Program = "draghand 0.1.0"
	h.Remarks = []string{"simulated: typed in by hand as an example, no metal was pulled"}
	w, err := Options{SyncEvery: time.Hour}.Create(shelf, h)
	must(t, err)
	for i, raw := range []string{"819", "820", "819", "818", "819"} {
		w.Append(ms(10*i), fmt.Appendf(nil, "%d", 5_120_004+10_000*i), []byte(raw), "")
	}
	w.Mark(52*time.Millisecond, pull.Bad, 1, "5170,8\x00\"19")
	w.sync(w.tg)
	w.Append(60*time.Millisecond+4*time.Microsecond, []byte("5180008"), []byte("4095"), "above range")
	w.Append(70*time.Millisecond, []byte("5190004"), []byte("819"), "")
	w.Mark(75*time.Millisecond, pull.End, 0, "")
	must(t, w.Close(replayed(t, w)))

	h.Started = time.Date(2026, 11, 25, 14, 10, 55, 0, time.UTC)
	h.Specimen.ID = "4"
	w, err = Options{SyncEvery: time.Hour}.Create(shelf, h)
	must(t, err)
	for i := range 40 {
		w.Append(ms(10*i), fmt.Appendf(nil, "%d", 450_000_000+10_000*i), fmt.Appendf(nil, "%d", 819+i%3), "")
		if i == 29 {
			w.sync(w.tg)
		}
	}
	w.flush(w.tg)
	for _, name := range []string{example, cutOff} {
		must(t, os.RemoveAll(filepath.Join(fixtures, name)))
		must(t, os.Remove(filepath.Join(shelf, name, LockFile)))
		must(t, os.CopyFS(filepath.Join(fixtures, name), os.DirFS(filepath.Join(shelf, name))))
	}
	spoil(t, filepath.Join(fixtures, cutOff), SamplesFile, func(b []byte) []byte { return b[:len(b)-6] })
	must(t, w.Close(Closing{}))
}

// replayed is the closing as the engine leaves it.
func replayed(t *testing.T, w *Writer) Closing {
	w.flush(w.tg)
	rec, err := Open(w.Dir())
	must(t, err)
	s, err := rec.Replay(nil)
	must(t, err)
	c := ClosingFrom(s, ByPerson)
	c.Ended = rec.Head.Started.Add(75 * time.Millisecond)
	return c
}

// The records of testdata are as they were written, and are what their names
// in the list say.
func TestFixtures(t *testing.T) {
	if *update {
		writeFixtures(t)
	}
	owned := map[string]string{
		example: "whole 9/9 torn 0",
		cutOff:  "unfinished 39/30 torn 16",
		// Of the program before: never written anew.
		earlierExample: "whole 9/9 torn 0",
		earlierPull:    "whole 1000/1000 torn 0",
	}
	dirs, err := os.ReadDir(fixtures)
	must(t, err)
	for _, d := range dirs {
		r := Check(filepath.Join(fixtures, d.Name()))
		got := fmt.Sprintf("%s %d/%d torn %d", r.Status, r.Lines, r.ProvenLines, r.TornBytes)
		if owned[d.Name()] != got {
			t.Errorf("%s: %s, want %q", d.Name(), got, owned[d.Name()])
		}
	}
	if len(dirs) != len(owned) {
		t.Errorf("%d records, the list has %d", len(dirs), len(owned))
	}
}

// blocks are the fenced blocks of a page that name a file: "```csv samples.csv".
func blocks(page string) map[string]string {
	out := map[string]string{}
	for i, part := range strings.Split("\n"+page, "\n```") {
		if i%2 == 0 {
			continue
		}
		info, body, _ := strings.Cut(part, "\n")
		if _, name, ok := strings.Cut(info, " "); ok {
			out[name] = body + "\n"
		}
	}
	return out
}

// bitwise is CRC-32C one bit at a time, from its definition in RFC 3720,
// appendix B.4: polynomial 0x1EDC6F41, reflected, starting from and finished
// with all ones.
func bitwise(b []byte) uint32 {
	crc := ^uint32(0)
	for _, c := range b {
		crc ^= uint32(c)
		for range 8 {
			if crc&1 == 1 {
				crc = crc>>1 ^ 0x82F63B78
			} else {
				crc >>= 1
			}
		}
	}
	return ^crc
}

// The example of the page, byte by byte: it is the one in testdata, a record
// made of its blocks alone is whole, its sums and hash are those of an
// independent reckoning, and its lines written again give its bytes.
func TestPage(t *testing.T) {
	// RFC 3720, appendix B.4, gives the CRC-32C of 32 bytes of zeros as
	// aa 36 91 8a, lowest byte first.
	if got := bitwise(make([]byte, 32)); got != 0x8A9136AA {
		t.Fatalf("CRC-32C of 32 zeros = %08x", got)
	}
	page, err := os.ReadFile(pagePath)
	must(t, err)
	files := blocks(string(page))
	dir := filepath.Join(t.TempDir(), example)
	must(t, os.Mkdir(dir, 0o755))
	for _, name := range []string{HeadFile, SamplesFile, SumFile} {
		kept, err := os.ReadFile(filepath.Join(fixtures, example, name))
		must(t, err)
		if d := cmp.Diff(string(kept), files[name]); d != "" {
			t.Errorf("%s: testdata has it otherwise (-testdata +page):\n%s", name, d)
		}
		must(t, os.WriteFile(filepath.Join(dir, name), []byte(files[name]), 0o644))
	}
	if r := Check(dir); r.Status != Whole || r.SHA256 != "match" || r.Lines != 9 {
		t.Errorf("Check = %+v", r)
	}
	csv := []byte(files[SamplesFile])
	sums := strings.Split(strings.TrimSuffix(files[SumFile], "\n"), "\n")
	for _, s := range sums {
		var off int
		var crc uint32
		if _, err := fmt.Sscanf(s, "%d %x", &off, &crc); err != nil || off > len(csv) || bitwise(csv[:off]) != crc {
			t.Errorf("sum %q does not match the bytes before it (%v)", s, err)
		}
	}
	if len(sums) != 3 {
		t.Errorf("%d sums", len(sums))
	}
	rec, err := Open(dir)
	must(t, err)
	if sum := sha256.Sum256(csv); rec.Head.Closing.SamplesSHA256 != hex.EncodeToString(sum[:]) {
		t.Error("the SHA-256 is another")
	}
	text, err := os.ReadFile(filepath.Join(dir, HeadFile))
	must(t, err)
	if err := validate(t, compile(t, true), text); err != nil {
		t.Error(err)
	}
	if again, err := encodeHead(rec.Head); err != nil || !bytes.Equal(again, text) {
		t.Errorf("pull.json written again differs (%v)", err)
	}
	w := mustCreate(t, Options{}, t.TempDir())
	got, _ := readDir(t, dir)
	for _, l := range got {
		if l.R.Mark == pull.NoMark {
			w.Append(l.R.T, []byte(l.Dev), []byte(l.Raw), l.Note)
		} else {
			w.Mark(l.R.T, l.R.Mark, l.R.Count, l.Text)
		}
	}
	must(t, w.Close(Closing{}))
	again, err := os.ReadFile(filepath.Join(w.Dir(), SamplesFile))
	must(t, err)
	if d := cmp.Diff(string(csv), string(again)); d != "" {
		t.Errorf("written again (-page +again):\n%s", d)
	}
}
