package main

import (
	"context"
	"fmt"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"draghand/internal/calib"
	"draghand/internal/calib/live"
)

// pointTalk takes calibration points in words: one line in is one wish.
type pointTalk struct {
	cal       *live.Taking
	keep      func(calib.Run) (string, error) // writes points that are not saved
	say       func(string)
	bell      func()
	typed     <-chan string
	simulated bool

	phase    string // told last
	phaseAt  time.Time
	note     string // why there is no zero, told last
	after    bool   // the zero after the points was told
	alarms   map[string]string
	nagged   time.Time
	asked    bool // to leave without saving
	over     bool // the source has ended
	finished <-chan struct{}
}

// pointHelp are the words of a calibration.
const pointHelp = `when it stands still, type what the reference shows, with its unit:
  20 kN             makes a point of it
other words, each with enter:
  drop 3            take point 3 out
  zero              take a zero now, with no load on the rig
  show              the points so far, and what they say
  reading           what the sensor says now
  a                 acknowledge the alarms
  save              keep it as a calibration of this rig
  quit              leave`

// run talks until the person leaves, the lines end or ctx does.
func (d *pointTalk) run(ctx context.Context) error {
	v := d.cal.View()
	for _, t := range safeToLoad(v.Run.At, v.Run.Far) {
		d.say(t)
	}
	if d.simulated {
		d.say("this is the simulated rig: no number of it says anything about a real one")
	}
	if v.Run.Reference.U == 0 {
		d.say(noReferenceYet)
	}
	d.say("help and enter gives the words it knows")
	d.say("first the zero: no load on the rig, nobody at the pump; it is taken by itself from 2 quiet seconds")
	d.alarms, d.finished = map[string]string{}, d.cal.Done()
	tick := time.NewTicker(100 * time.Millisecond)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return d.leave("ended by a signal")
		case <-d.finished:
			d.finished, d.over = nil, true
			if err := d.cal.Err(); err != nil && len(d.cal.View().Run.Points) == 0 {
				return sourceFault(err)
			}
		case <-tick.C:
			d.notice(d.cal.View())
		case line, ok := <-d.typed:
			if !ok {
				return d.leave("the lines ended")
			}
			if !d.wish(line) {
				d.letGo()
				return nil
			}
		}
	}
}

// leave ends without having been told to: points that are not saved are written as
// a table and told once more, so that they are not lost.
func (d *pointTalk) leave(why string) error {
	v := d.cal.View()
	if v.Saved != "" || len(v.Run.Points) == 0 {
		return nil
	}
	for i := range v.Run.Points {
		d.say(pointWords(v, i))
	}
	n := counted(len(v.Run.Points), "point")
	path, err := d.keep(v.Run)
	if err != nil {
		return failf(exitSave, "the points stand above: write them into a table for draghand calibrate, or take them again and type save",
			"%s with %s not saved, and no table of them could be written: %w", why, n, err)
	}
	return failf(exitSave, "draghand calibrate --points \""+clean(path)+"\" with --rig, --at, --side and --reference as before",
		"%s with %s not saved as a calibration; they stand in %s", why, n, path)
}

// letGo keeps the points of one who left without saving: a table costs nothing.
func (d *pointTalk) letGo() {
	v := d.cal.View()
	if v.Saved != "" || len(v.Run.Points) == 0 {
		return
	}
	if path, err := d.keep(v.Run); err == nil {
		d.say("not saved as a calibration; the points stand in " + path)
	}
}

// wish answers one line; false where the person leaves.
func (d *pointTalk) wish(line string) bool {
	line = strings.TrimSpace(line)
	word, rest, _ := strings.Cut(line, " ")
	asked := d.asked
	d.asked = false
	switch strings.ToLower(word) {
	case "", "show":
		d.show()
	case "reading", "r", "s", "status":
		d.reading(d.cal.View())
	case "drop":
		n, err := strconv.Atoi(strings.TrimSpace(rest))
		if err != nil {
			d.say("write drop and the number of a point, such as drop 3")
			break
		}
		if err := d.cal.Drop(n - 1); err != nil {
			d.say(err.Error())
			break
		}
		d.say(fmt.Sprintf("point %d is out; those after it move up by one", n))
		d.phase = ""
	case "zero", "z":
		d.zero()
	case "a", "acknowledge":
		if len(d.cal.View().Alarms) == 0 {
			d.say("no alarm is on")
			break
		}
		d.cal.Acknowledge()
	case "save":
		d.save()
	case "help", "h", "?":
		for t := range strings.SplitSeq(pointHelp, "\n") {
			d.say(t)
		}
	case "quit", "q", "exit":
		return !d.quit(asked)
	case "stop":
		d.say("stop pumping; this program cannot stop the pump")
	default:
		if first := word[0]; first != '+' && first != '-' && first != '.' && (first < '0' || first > '9') {
			d.say(fmt.Sprintf("%q is no word known here; help and enter gives them", word))
			break
		}
		d.take(line)
	}
	return true
}

// quit says whether to leave.
func (d *pointTalk) quit(asked bool) bool {
	v := d.cal.View()
	if n := len(v.Run.Points); n > 0 && v.Saved == "" && !asked {
		d.asked = true
		d.say(counted(n, "point") + " not saved: type save, or quit again to lose them")
		return false
	}
	if v.Loaded() && !asked {
		d.asked = true
		d.say("there is load on the rig: let the pressure off first; quit again leaves all the same")
		return false
	}
	return true
}

func (d *pointTalk) take(line string) {
	if err := d.cal.Take(line); err != nil {
		d.say(err.Error())
		return
	}
	v := d.cal.View()
	d.phase = "taken"
	d.say(pointWords(v, len(v.Run.Points)-1))
	if a := v.Answer; a != nil && a.Suspect >= 0 {
		d.say(a.SuspectWhy)
	}
	if len(v.Run.Points) > 1 {
		d.say("go on")
		return
	}
	d.say("go on to the next load: up to each without passing it, then falling in the same steps; let it all off in the end, for the zero after. save keeps it")
}

func (d *pointTalk) zero() {
	if err := d.cal.Zero(); err != nil {
		d.say(err.Error())
		return
	}
	if v := d.cal.View(); len(v.Run.Points) == 0 {
		d.say("zero taken: " + v.Zero.Text(v.Units) + " by the sensor's own line")
	}
}

func (d *pointTalk) save() {
	path, err := d.cal.Save()
	if err != nil {
		d.say("NOT SAVED: " + err.Error())
		if hint, ok := err.(interface{ Next() string }); ok && hint.Next() != "" {
			d.say("next: " + hint.Next())
		}
		return
	}
	v := d.cal.View()
	d.answer(v)
	if v.Run.ZeroAfter == nil {
		d.say("there is no zero after the points: let the load off, wait for it, and save again")
	}
	d.say("saved as " + path)
	d.sayNoU(path)
}

// sayNoU tells what a calibration that was saved lacks, if the reference has no
// uncertainty.
func (d *pointTalk) sayNoU(path string) {
	if d.cal.View().Run.Reference.U == 0 {
		d.say(noReferenceU(strings.TrimSuffix(filepath.Base(path), filepath.Ext(path))))
	}
}

// show tells the points and what they say.
func (d *pointTalk) show() {
	v := d.cal.View()
	if len(v.Run.Points) == 0 {
		d.say("no point is taken yet")
	}
	for i := range v.Run.Points {
		d.say(pointWords(v, i))
	}
	d.answer(v)
	d.reading(v)
}

// answer tells what the points say.
func (d *pointTalk) answer(v *live.View) {
	a := v.Answer
	if a == nil {
		if len(v.Run.Points) > 0 {
			d.say("too few points yet for a line: three rising ones and more, over the range the bars break in")
		}
		return
	}
	for _, t := range answerWords(v, a) {
		d.say(t)
	}
}
