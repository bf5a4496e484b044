//go:build unix

package picture

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/creack/pty"
)

// raw takes the played program's terminal out of line mode, by the tool that
// POSIX has for it.
func raw() {
	c := exec.Command("stty", "raw", "-echo")
	c.Stdin = os.Stdin
	if err := c.Run(); err != nil {
		fmt.Print(err)
		os.Exit(1)
	}
}

// TestMain also plays the programs that the tests run in a terminal.
func TestMain(m *testing.M) {
	switch play := os.Getenv("PICTURE_TEST_PLAY"); play {
	case "":
		os.Exit(m.Run())
	default:
		os.Exit(plays[play]())
	}
}

var plays = map[string]func() int{
	// hello waits for keys, shows them, and ends with code 3 on q.
	"hello": func() int {
		raw()
		fmt.Print("\x1b[2J\x1b[Hhello\r\n")
		b := make([]byte, 64)
		for {
			n, err := os.Stdin.Read(b)
			if err != nil {
				return 1
			}
			if string(b[:n]) == "q" {
				fmt.Print("bye")
				return 3
			}
			fmt.Printf("[%q]", b[:n])
		}
	},
	// ask asks whether the terminal is well, and shows what came before a full stop.
	"ask": func() int {
		raw()
		fmt.Print("\x1b[5nasked ")
		answer := ""
		for b := make([]byte, 64); !strings.HasSuffix(answer, "."); {
			n, err := os.Stdin.Read(b)
			if err != nil {
				return 1
			}
			answer += string(b[:n])
		}
		fmt.Printf("answer %q", answer)
		return 0
	},
	"ground": func() int {
		raw()
		fmt.Print("\x1b]11;?\x07")
		b := make([]byte, 64)
		n, _ := os.Stdin.Read(b)
		fmt.Printf("ground %q", b[:n])
		return 0
	},
	// stubborn ignores being asked to end.
	"stubborn": func() int {
		ch := make(chan os.Signal, 1)
		signal.Notify(ch, syscall.SIGTERM, syscall.SIGHUP)
		fmt.Print("still here")
		for {
			<-ch
		}
	},
	// size shows the size of its terminal, and again when that changes.
	"size": func() int {
		ch := make(chan os.Signal, 1)
		signal.Notify(ch, syscall.SIGWINCH)
		for {
			rows, cols, err := pty.Getsize(os.Stdout)
			fmt.Printf("%dx%d %v ", cols, rows, err)
			<-ch
		}
	},
}

func play(name string, o Options) Options {
	o.Cmd = os.Args[0]
	o.Env = append(o.Env, "PICTURE_TEST_PLAY="+name)
	if o.Cols == 0 {
		o.Cols, o.Rows = 40, 5
	}
	return o
}

func TestRun(t *testing.T) {
	steps, err := Keys("a<up><ctrl+c>")
	if err != nil {
		t.Fatal(err)
	}
	o := play("hello", Options{Steps: append(append([]Step{Until("hello"), Shot("first")}, steps...),
		Until(`\x03`), Shot("second"), Press("q"), Exit(), Shot("last"))})
	r, err := Run(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Shots) != 3 || r.Shots[0].Name != "first" || r.Code != 3 {
		t.Fatalf("%d shots, code %d; want 3 and code 3", len(r.Shots), r.Code)
	}
	if got := r.Shots[0].Screen.Text(); got != "hello\n\n\n\n\n" {
		t.Errorf("first shot %q", got)
	}
	if got, want := strings.ReplaceAll(r.Shots[1].Screen.Line(1), `"]["`, ""), `["a\x1b[A\x03"]`; got != want {
		t.Errorf("keys arrived as %q, want %q", got, want)
	}
	if !r.Last.Contains("bye") || r.Shots[2].Screen.At < r.Shots[0].Screen.At {
		t.Errorf("last screen %q at %v", r.Last.Text(), r.Shots[2].Screen.At)
	}
}

func TestUntilTimeout(t *testing.T) {
	limit := 2 * time.Second
	var began time.Time
	var r *Result
	var err error
	var late *TimeoutError
	for { // a busy machine may take longer to begin
		began = time.Now()
		r, err = Run(t.Context(), play("hello", Options{Timeout: limit, Steps: []Step{Until("hello"), Until("never")}}))
		if !errors.As(err, &late) || strings.Contains(late.What, "never") || limit > 20*time.Second {
			break
		}
		limit *= 2
	}
	if !errors.As(err, &late) || late.Ended || !late.Screen.Contains("hello") {
		t.Fatalf("err = %v, want a TimeoutError with the screen", err)
	}
	if r == nil || !r.Last.Contains("hello") || time.Since(began) > limit+8*time.Second {
		t.Errorf("no result, or it took %v", time.Since(began))
	}
	_, err = Run(t.Context(), play("ask", Options{Steps: []Step{Until("asked"), Press("."), Until("never")}}))
	if !errors.As(err, &late) || !late.Ended {
		t.Errorf("err = %v, want a TimeoutError of a program that ended", err)
	}
}

func TestSilentTerminal(t *testing.T) {
	for _, c := range []struct {
		silent bool
		want   string
	}{{false, `answer "\x1b[0n."`}, {true, `answer "."`}} {
		// What is shown was written after the question: it was answered by then, or never.
		r, err := Run(t.Context(), play("ask", Options{Silent: c.silent, Steps: []Step{Until("asked"), Press("."), Until("answer"), Exit()}}))
		if err != nil || !r.Last.Contains(c.want) {
			t.Errorf("silent %v: %v, screen %q, want %q", c.silent, err, r.Last.Text(), c.want)
		}
	}
}

func TestThemeIsToldToTheProgram(t *testing.T) {
	light := Light()
	r, err := Run(t.Context(), play("ground", Options{Theme: &light, Cols: 60, Rows: 2, Steps: []Step{Until("ground")}}))
	if err != nil || !r.Last.Contains(`ground "\x1b]11;rgb:fbfb/fbfb/f8f8\x1b\\"`) {
		t.Errorf("%v, screen %q, want the light background", err, r.Last.Text())
	}
	if r.Last.Cell(0, 0).BG != light.BG || r.Last.Cell(0, 0).FG != light.FG {
		t.Errorf("cell %+v is not in the theme's colours", r.Last.Cell(0, 0))
	}
}

func TestResize(t *testing.T) {
	r, err := Run(t.Context(), play("size", Options{Steps: []Step{Until("40x5"), {Cols: 80, Rows: 24}, Until("80x24"), Shot("")}}))
	if err != nil || r.Last.Cols != 80 || r.Last.Rows != 24 {
		t.Errorf("%v, %d×%d, want 80×24", err, r.Last.Cols, r.Last.Rows)
	}
}

func TestCloseEndsAStubbornProgram(t *testing.T) {
	term, err := Start(t.Context(), play("stubborn", Options{}))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := term.Until(t.Context(), "a start", func(s *Screen) bool { return s.Contains("still") }); err != nil {
		t.Fatal(err)
	}
	if code := term.Close(); code != -1 {
		t.Errorf("code %d, want -1 for a program that had to be killed", code)
	}
	if term.Close() != -1 {
		t.Error("a second Close says otherwise")
	}
}

func TestStartErrors(t *testing.T) {
	if _, err := Run(t.Context(), Options{Cmd: "no-such-program-here"}); err == nil || !strings.Contains(err.Error(), "no-such-program-here") {
		t.Errorf("err = %v, want the program named", err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := Run(ctx, play("hello", Options{Steps: []Step{Until("never")}})); !errors.Is(err, context.Canceled) {
		t.Errorf("err = %v, want context.Canceled", err)
	}
}

func TestKeys(t *testing.T) {
	got, err := Keys("ab<enter><100ms><lt>x<alt+p>")
	want := []Step{{Keys: "ab\r"}, {Wait: 100 * time.Millisecond}, {Keys: "<x\x1bp"}}
	if err != nil || fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("Keys = %v, %v, want %v", got, err, want)
	}
	for _, bad := range []string{"<", "a<enter", "<nokey>", "<-3s>", "<ctrl+1>", "<>"} {
		if _, err := Keys(bad); err == nil || !strings.Contains(err.Error(), "<") {
			t.Errorf("Keys(%q) = %v, want an error that shows a right one", bad, err)
		}
	}
}
