package finish

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"draghand/internal/record"
	"draghand/internal/si"
	"draghand/internal/strength"
)

// alter changes a digit of a reading in the middle of the file to another: every
// line can still be read.
func alter(t *testing.T, dir string) {
	t.Helper()
	path := filepath.Join(dir, record.SamplesFile)
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	at := bytes.LastIndexByte(b[:len(b)/2], '\n') - 2 // the last digit of a raw number
	b[at] = '0' + (b[at]-'0'+1)%10
	if err := os.WriteFile(path, b, 0o644); err != nil {
		t.Fatal(err)
	}
}

// unclosed takes the closing away, as where the program was killed.
func unclosed(t *testing.T, dir string) {
	t.Helper()
	text := headText(t, dir)
	i := bytes.Index(text, []byte(`"closing"`))
	text = append(bytes.TrimRight(text[:i], " \n,"), '}')
	if err := os.WriteFile(filepath.Join(dir, record.HeadFile), text, 0o644); err != nil {
		t.Fatal(err)
	}
}

// Readings that can all be read and are not those that were written make a
// damaged record: its results are shown, and neither count nor pass.
func TestAlteredReadings(t *testing.T) {
	for _, closed := range []bool{true, false} {
		dir := pulled(t)
		f := broke()
		f.Minimum, f.MinimumFrom = 10*si.Megapascal, "as stated"
		if _, err := Save(dir, f); err != nil {
			t.Fatal(err)
		}
		if !closed {
			unclosed(t, dir)
		}
		got, err := Results(open(t, dir))
		if err != nil || got.StrengthPa == nil {
			t.Fatalf("closed %v, as written: %v, strength %v", closed, err, got.StrengthPa)
		}
		if closed && (got.Verdict == nil || got.Verdict.Says != strength.Passes) {
			t.Fatalf("as written: verdict %+v", got.Verdict)
		}
		alter(t, dir)
		got, err = Results(open(t, dir))
		if bad, ok := errors.AsType[*record.DamageError](err); !ok || !bad.Altered {
			t.Errorf("closed %v: altered readings give the error %v", closed, err)
		}
		if got.StrengthPa == nil || got.Counts == nil || *got.Counts != strength.CountsNot || got.Verdict != nil {
			t.Errorf("closed %v: strength %v, counts %v, verdict %+v; want it shown, no, none", closed, got.StrengthPa, got.Counts, got.Verdict)
		}
		if all := strings.Join(got.Remarks, "\n"); !strings.Contains(all, "not as they were written") {
			t.Errorf("closed %v: remarks %q", closed, got.Remarks)
		}
	}
}

// Where the sums are lost the SHA-256 at closing still proves the readings.
func TestSumsLost(t *testing.T) {
	dir := pulled(t)
	if err := os.Remove(filepath.Join(dir, record.SumFile)); err != nil {
		t.Fatal(err)
	}
	if _, err := Results(open(t, dir)); err != nil {
		t.Error(err)
	}
	alter(t, dir)
	if _, err := Results(open(t, dir)); err == nil {
		t.Error("altered readings pass for whole without their sums")
	}
}
