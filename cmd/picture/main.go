// Command picture runs a program in a terminal of its own and keeps what its
// screen shows, as PNG and as text. It makes the pictures in docs/pictures.
//
//	picture -cols 80 -rows 24 -until "BROKE" -shot broke.png -keys "<enter>" -after 200ms -shot after.png -- draghand demo
//
// The steps -after, -until, -gone, -keys, -exit and -shot are done in the order
// they stand in; a last -o is the same as a -shot at the end.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"time"

	"draghand/internal/picture"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	code := run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}

// Exit codes.
const (
	done   = 0
	failed = 1 // the program could not be started, a text did not come, a file could not be written
	misuse = 2
)

const usage = `usage: picture [flags and steps] -- command [arguments]

Steps, done in the order given:
  -after DURATION   let time pass
  -until TEXT       wait till the screen shows TEXT
  -gone TEXT        wait till it no longer does
  -keys KEYS        type; <enter> <esc> <up> <ctrl+c> <f1> <200ms> … by name
  -resize COLSxROWS change the terminal's size
  -exit             wait till the program ends
  -shot FILE.png    keep the screen
  -o FILE.png       the same, after all other steps
Flags:
`

func run(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	var o picture.Options
	fs := flag.NewFlagSet("picture", flag.ContinueOnError)
	fs.SetOutput(stderr)
	fs.Usage = func() {
		fmt.Fprint(stderr, usage)
		fs.VisitAll(func(f *flag.Flag) {
			if f.Usage != "" {
				fmt.Fprintf(stderr, "  -%-16s %s\n", f.Name, f.Usage)
			}
		})
	}
	add := func(s ...picture.Step) error { o.Steps = append(o.Steps, s...); return nil }
	fs.Func("after", "", func(s string) error {
		d, err := time.ParseDuration(s)
		if err != nil {
			return err
		}
		return add(picture.Wait(d))
	})
	fs.Func("until", "", func(s string) error { return add(picture.Until(s)) })
	fs.Func("gone", "", func(s string) error { return add(picture.Step{Gone: s}) })
	fs.Func("keys", "", func(s string) error {
		steps, err := picture.Keys(s)
		if err != nil {
			return err
		}
		return add(steps...)
	})
	fs.Func("resize", "", func(s string) error {
		var st picture.Step
		if n, err := fmt.Sscanf(s, "%dx%d", &st.Cols, &st.Rows); n != 2 || err != nil || st.Cols < 1 || st.Rows < 1 {
			return fmt.Errorf("%q is no size such as 80x24", s)
		}
		return add(st)
	})
	fs.BoolFunc("exit", "", func(string) error { return add(picture.Exit()) })
	fs.Func("shot", "", func(s string) error { return add(picture.Shot(s)) })
	last := fs.String("o", "", "")
	fs.IntVar(&o.Cols, "cols", 120, "columns of the terminal (120)")
	fs.IntVar(&o.Rows, "rows", 40, "rows of the terminal (40)")
	fs.DurationVar(&o.Timeout, "timeout", 20*time.Second, "how long -until, -gone and -exit wait (20s)")
	fs.BoolVar(&o.Silent, "silent", false, "a terminal that answers no query")
	light := fs.Bool("light", false, "dark on light")
	scale := fs.Int("scale", 1, "pixels a point: a cell is 10×20 at 1 (1)")
	text := fs.Bool("text", false, "print each kept screen's text, or the last screen's")
	if err := fs.Parse(args); err != nil {
		if errors.Is(err, flag.ErrHelp) {
			return done
		}
		return misuse
	}
	if fs.NArg() == 0 || o.Cols < 1 || o.Rows < 1 || o.Cols > 1000 || o.Rows > 1000 || *scale < 1 || *scale > 8 {
		fmt.Fprintln(stderr, "picture: needs a command, 1 to 1000 columns and rows, and a scale of 1 to 8\nsee: picture -help")
		return misuse
	}
	o.Cmd, o.Args = fs.Arg(0), fs.Args()[1:]
	if *last != "" {
		o.Steps = append(o.Steps, picture.Shot(*last))
	}
	if *light {
		t := picture.Light()
		o.Theme = &t
	}
	r, err := picture.Run(ctx, o)
	if r != nil {
		for _, k := range r.Shots {
			if werr := save(k, *scale, stderr); werr != nil {
				err = errors.Join(err, werr)
			}
			if *text {
				fmt.Fprintf(stdout, "%s (%dx%d, %.2f s)\n%s", k.Name, k.Screen.Cols, k.Screen.Rows, k.Screen.At.Seconds(), k.Screen.Text())
			}
		}
		if *text && len(r.Shots) == 0 {
			fmt.Fprint(stdout, r.Last.Text())
		}
	}
	if err != nil {
		fmt.Fprintln(stderr, "picture:", err)
		if r != nil {
			fmt.Fprintf(stderr, "the screen then:\n%s", r.Last.Text())
		}
		return failed
	}
	return done
}

func save(k picture.Kept, scale int, stderr io.Writer) error {
	if dir := filepath.Dir(k.Name); dir != "." {
		if err := os.MkdirAll(dir, 0o755); err != nil {
			return fmt.Errorf("make the folder of a picture: %w", err)
		}
	}
	f, err := os.Create(k.Name)
	if err != nil {
		return fmt.Errorf("write a picture: %w", err)
	}
	missing, err := picture.Draw(f, k.Screen, scale)
	for _, r := range missing {
		fmt.Fprintf(stderr, "picture: %s: no way to draw %q (%U): a crossed box stands for it\n", k.Name, r, r)
	}
	return errors.Join(err, f.Close())
}
