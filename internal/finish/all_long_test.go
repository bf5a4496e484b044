package finish

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"sync"
	"sync/atomic"
	"testing"
	"time"
)

// A thousand records are recomputed on all cores: with one worker a core in at most
// 0.7 of the time of one worker, where there are two. Without draws 0.85 will do: a
// record takes 0.4 ms then, much of it the system's and the collector's, which has
// the other core in either case. The machine may have other work to do: beside each
// round it is asked what it grants one and all that only count, the bound grows by
// how far that is from all cores, and the best round counts.
func TestThousandRecordsLong(t *testing.T) {
	if os.Getenv("DRAGHAND_LONG") == "" {
		t.Skip("takes a minute: set DRAGHAND_LONG")
	}
	cores := runtime.GOMAXPROCS(0)
	if cores < 2 {
		t.Skip("one core")
	}
	const n = 1000
	from := filepath.Join("..", "..", "testdata", "records", "2026-11-25T122446Z-M1-5-earlier") // 999 readings
	shelf := t.TempDir()
	dirs := make([]string, n)
	for i := range dirs {
		dirs[i] = filepath.Join(shelf, fmt.Sprintf("2026-11-25T122446Z-M1-5-%d", i))
		if err := os.CopyFS(dirs[i], os.DirFS(from)); err != nil {
			t.Fatal(err)
		}
	}
	took := func(workers, draws int) (wall, cpu time.Duration) {
		began, used := time.Now(), cpuUsed()
		got, err := All(context.Background(), dirs, workers, draws, nil)
		wall, cpu = time.Since(began), cpuUsed()-used
		if err != nil {
			t.Fatal(err)
		}
		for _, g := range got {
			if g.Err != nil || g.Damage != nil || g.Results.StrengthPa == nil {
				t.Fatalf("%s: %v, %v, strength %v", g.Dir, g.Err, g.Damage, g.Results.StrengthPa)
			}
		}
		return wall, cpu
	}
	for draws, most := range map[int]float64{0: 0.85, Draws: 0.7} {
		best, bound := math.Inf(1), most // of the ratio to its bound
		for range 5 {
			slower := float64(cores) * granted(1) / granted(cores)
			one, oneCPU := took(1, draws)
			all, allCPU := took(0, draws)
			ratio, limit := float64(all)/float64(one), most*max(slower, 1)
			t.Logf("%d records, %d draws: %v with one worker (%.2f cores), %v with %d (%.2f cores): %.2f, at most %.2f", n, draws,
				one, float64(oneCPU)/float64(one), all, cores, float64(allCPU)/float64(all), ratio, limit)
			if ratio/limit < best/bound {
				best, bound = ratio, limit
			}
			if best <= bound {
				break
			}
		}
		if best > bound {
			t.Errorf("%d draws: with %d workers %.2f of the time of one, at most %.2f", draws, cores, best, bound)
		}
	}
}

// granted is what the machine gives to n goroutines that do nothing but count: how many
// of them a second come to the end of a fixed count.
func granted(n int) float64 {
	const counts = 200_000_000
	began := time.Now()
	var wait sync.WaitGroup
	var sum atomic.Uint64
	for range n {
		wait.Go(func() {
			x := uint64(1)
			for range counts {
				x ^= x << 13
				x ^= x >> 7
				x ^= x << 17
			}
			sum.Add(x)
		})
	}
	wait.Wait()
	return float64(n) / time.Since(began).Seconds()
}
