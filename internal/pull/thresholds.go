package pull

import "time"

// Every threshold of the engine, in one place, each with its reason.
// docs/engine.md holds the same list and says what each was tried on.
const (
	// bucketSpan is how long readings are summed up before they enter the
	// windows below. A break's edge is found on single readings, not on
	// buckets, so 20 ms only has to be short against a pump stroke (0.5 s and
	// up), and long enough that 5 s need no more than 251 of them at any rate.
	bucketSpan = 20 * time.Millisecond

	// meanTime is the time constant of the short mean over the medians that
	// caution, warning and the phases are judged on: a stroke of a hand pump
	// takes 0.3 s and more, mains hum 20 ms.
	meanTime = 50 * time.Millisecond

	// absurdPressure is more than any oil ever held (10 GPa): a number beyond
	// it comes from a broken rig file, not from a rig.
	absurdPressure = 1e10
)

// Zero.
const (
	zeroWindow       = 2 * time.Second // design 5
	noiseReadings    = 20              // before the noise is believed
	noiseFew         = 8               // or so few, once noiseTime is over
	noiseTime        = 2 * time.Second
	zeroReadings     = 5           // fewer say nothing about noise
	zeroQuietCounts  = 2           // SD in converter counts (design 5)
	zeroQuietRange   = 0.001       // SD as a fraction of the range (design 5)
	zeroNearLast     = 0.01        // of the range, from the last zero (design 5)
	zeroNearOwn      = 0.02        // of the range, from the sensor's own line: cheap transducers state 1 to 2 % in all
	zeroDrift        = 0.5         // halves of the window may differ by this much of the SD allowed: a slow start of the load is no zero
	zeroDriftNoise   = 3           // and by so many standard errors, lest honest noise at 5 Hz is taken for drift
	refusedPause     = time.Second // the reason against a zero is put in words no more often
	zeroHole         = 500 * time.Millisecond
	zeroReturnWait   = 300 * time.Millisecond // after the break: the fixture rings
	zeroReturnFaded  = 0.01                   // of the peak: more is load
	belowFor         = 500 * time.Millisecond // under zero by the loading threshold: a fixture that rings after a break is not
	zeroReturnWindow = 500 * time.Millisecond // a run without a person ends 2 s after the break, a whole 2 s would never be seen
)

// Loading.
const (
	loadingShare  = 0.01 // of the nearest limit (design 5)
	loadingNoise  = 10   // times the SD of the noise (design 5)
	loadingMost   = 0.25 // of the nearest limit, whatever the noise
	loadingHold   = 500 * time.Millisecond
	loadingAtOnce = 10 // times the threshold needs no hold: loaded unseen is worse than loaded too early
	loadingRange  = 0.01
)

// The view of a noisy sensor.
const (
	cellSpan    = 2 * time.Millisecond   // of a cell: short against any fall
	viewMost    = 80 * time.Millisecond  // of readings in the mean: less than half of the quickest let-off
	viewShare   = 0.01                   // of the top, wanted of its noise
	viewHum     = 0.5                    // the least that is believed of their spread: another count of readings may not take hum out so well
	viewMeans   = 10                     // in slack, before their own spread is believed
	loneNoise   = 8                      // SDs that a lone reading stands out from both neighbours
	loneShare   = 0.25                   // of the level: at 5 Hz a true crest stands out by some percent
	noisyUnder  = 0.25                   // of the level: then the fall is measured, once noisyWait is over
	noisyWait   = 150 * time.Millisecond // the readings after the fall that tell the level after it
	noisyReach  = 120 * time.Millisecond // from the middle
	noisyBreak  = 120 * time.Millisecond // 90 to 10 % by areas, which at 9 % and 100 Hz are known to some 20 ms
	noisyNecked = 180 * time.Millisecond // if noisySudden of it went within noisyStep
	noisySudden = 0.55
	noisySurely = 0.70 // whatever the rest took: a let-off of 0.2 s gives 0.2 to 0.4
	noisyStep   = 50 * time.Millisecond
	noisyLetOff = 150 * time.Millisecond
	noisySlow   = 700 * time.Millisecond // a fall that began before is none to be measured so
	noisyWindow = 150 * time.Millisecond // of readings that tell the level before
)

// Alarms.
const (
	defaultCaution = 0.75
	defaultWarning = 0.90
	defaultStop    = 1.00
	alarmReturn    = 0.97 // of the level (design 5)
	alarmQuiet     = 500 * time.Millisecond
	singleLower    = 0.95                 // a neighbour lower than this leaves a reading alone (design 5)
	resetEvery     = time.Second          // restarts of the board are told no oftener; each is counted
	stopAgain      = 0.05                 // of a limit: an acknowledged stop is raised again at each step of it
	stopConfirm    = 5 * time.Millisecond // design 5
	screenBelow    = 0.999                // a level this much lower is looked at closely
	leadFrom       = 0.5                  // of the nearest limit (design 5)
	leadReturn     = 1.2                  // times the look-ahead
	leadMost       = time.Hour            // a longer lead is none
)

// Seeing the force.
const (
	blindAfter = 500 * time.Millisecond // design 5
	// blindReadings stretches blindAfter on a source that is slower than 5 Hz by
	// its own rig file: three readings of it must be missing.
	blindReadings = 3
	sightNoise    = 4    // SDs of the view
	sightMost     = 0.10 // of the nearest limit, whatever the noise
	seenAgain     = 500 * time.Millisecond
	afterBreak    = 0.15 // of the peak: below it nothing is held any more after an outcome
	faultPause    = time.Second

	stuckFor     = 500 * time.Millisecond
	stuckNoise   = 0.3 // counts: below it a quiet converter honestly stands still
	stuckChanges = 50  // expected and not seen: e^-50 by chance
	stuckDoubles = 5   // steps of two counts and more: toggling between two codes proves no noise
	stuckPairs   = 50  // pairs of readings in slack before anything is known
	stuckLeast   = 0.1 // share of readings that change: knocks and drift make fewer
)

// Pace.
const (
	paceWindow  = 5 * time.Second // design 5
	paceStrokes = 3               // design 5
	paceLeast   = 500 * time.Millisecond
	crestRest   = 150 * time.Millisecond // no gain for so long ends a stroke
	crestNoise  = 8                      // SDs that a new stroke must rise: it is held against the lowest of a rest, and that lies 2 or 3 under the mean
	crestCounts = 2.5
	crestShare  = 0.001 // of the nearest limit
	paceStale   = 1.5   // strokes without a new crest: the pump has slowed
	paceFallen  = 0.9   // of the last crest: no longer the rise that the crests tell
)

// Strokes.
const (
	strokeMost  = 3 * time.Second // longer is a motor's drive
	strokeApart = 4 * time.Second // from crest to crest: farther apart they do not follow each other
	gainNone    = 0.08            // of the best gain: no stroke; what gives leaves a tenth and more
	gainWeak    = 0.5             // of the best gain: strokes of one person differ by a fifth
	gainLeast   = 0.03            // of the drag hand: smaller bumps are no strokes of a pump
	gainSteps   = 3               // times the least that is told from noise
	gainSure    = 20              // SDs of a bucket: less is too uncertain a gain to be told, since a stroke lies between a lowest and a highest
	gainBack    = 0.8
	gainStrokes = 3   // in a row, each by the median of three
	gainYield   = 0.9 // of the expected yield: nearer, the specimen itself may yield
)

// First yield of a crush.
const (
	gaveWindow = time.Second // longer than the bumps of a motor's drive, short against a crush
	gaveHalf   = 0.5         // of the steepest slope
	gaveBack   = 0.75        // of it: the block is elastic still, the drive had rested
	gaveRise   = 0.02        // of the force: so much it must rise on while it gives
	gaveNoise  = 10          // times the noise of a slope: less is none to go by
)

// Drag hand.
const (
	gapAtPeak   = 0.9                    // of the largest force: a gap from there on may hide a larger one (no source)
	gapLooked   = 100 * time.Millisecond // of readings after a gap, before they tell which way the force goes
	peakEvery   = 100 * time.Millisecond
	apartFor    = 100 * time.Millisecond // of readings before a break, and apartFew of them, tell how the force rose
	apartFew    = 8                      // their line is known to a third of the noise, and they are no more than a stroke at 10 Hz
	apartMany   = 256                    // more tell no better
	biasFade    = 2                      // a reading one SD under the top counts e^-2
	biasBuckets = 5                      // 0.1 s, or five readings at low rates
)

// Dips: what the force does under its top without ending the load.
const (
	dipLeast     = 0.005                   // of the top: open traces show yield drops of 0.8 % and more
	dipNoise     = 6                       // SDs of what is judged
	dipCounts    = 2.5                     // converter counts
	dipDeep      = 1500 * time.Millisecond // longer than a stroke with its rest
	yieldMost    = 0.15                    // of the top; open traces show 0.8 to 3.5 %
	yieldRise    = 2 * time.Second
	yieldSlow    = 2                      // times slower than the load rose before, or times the strokes that a rest needs
	yieldSource  = time.Second            // from reading to reading: a slower source does not see one
	dropFall     = 150 * time.Millisecond // a rest loses as much over 0.3 s and more
	dropBands    = 2                      // times what a dip must fall
	dropWithin   = 350 * time.Millisecond // made up for so soon, or in a third of the time from stroke to stroke, it was no rest
	dropStrokes  = 4                      // after it
	dropGain     = 0.6                    // of the best
	yieldStrokes = 2                      // and so many more
	slipLeast    = 0.06                   // of the top: the valve of a pump that closes late gives back 2 to 4 % after a stroke (simulator), and a yield drop takes as much
	slipNoise    = 12                     // SDs of the view: the top is the highest of many, the low the lowest
	slipLow      = 0.15                   // of the nearest limit: under it the first strokes still take up slack
	slipRests    = 2                      // times what the rests between the last strokes lost
	slipBack     = 0.5                    // of what was lost
	slipSudden   = 250 * time.Millisecond // slower is a valve or a leak
	slipRatio    = 3                      // rate of fall over load rate
)

// Proof and fading.
const (
	holdBand    = 0.95            // of the force to hold (no source)
	holdLag     = time.Second     // a hand on a valve takes less from there to 5 % under
	holdStill   = 0.01            // of it in holdLag: a force far under it that falls no faster stands there (no source)
	holdNear    = 0.9             // of a proof's target: from there a person pumps with care
	holdGrowth  = 0.01            // less growth in 5 s is holding
	fadeLeast   = 5 * time.Second // from 98 % of the top: a hand on a valve is quicker
	fadeStrokes = 2               // since 90 % of the top: nobody lets off and pumps
	fadeStep    = 0.2             // of the top, in one step: a snap between two readings
	fadeRound   = 0.3             // 98 → 90 % against 90 → 50 %: 0.2 with a knee, 0.15 through a valve
	fadeSlowing = 0.8             // rate of the second half over the first: 1 on a straight line, a third through a valve
)

// Falls.
const (
	fallWindow   = 300 * time.Millisecond // a break or a quick let-off lies within it
	fallReadings = 6                      // or within so many readings, at low rates
	fallTrigger  = 0.5                    // of the level before
	fallHigh     = 0.9                    // 90 → 10 % of the level before
	fallForget   = time.Second            // a fall that is not over by then is followed slowly
	fallLow      = 0.1
	// breakTime and letOffTime: design 5, from the open traces (steel and
	// bronze 15 to 20 ms). A hand on a valve needs longer than 0.2 s.
	breakTime   = 50 * time.Millisecond
	letOffTime  = 200 * time.Millisecond
	letOffSlow  = 20 * time.Second // slower than a person lets off: fading cannot be told from it yet
	fallRatio   = 10               // fall rate over load rate: snaps 100 and more, pump-controlled unloading 1.3, the two flanks of a glitch 1
	fallRatioUp = 100              // between 50 and 200 ms, of a bar still being loaded
	fallNoise   = 8                // SDs that the level before must stand above the zero
	fallLeast   = 2                // times the loading threshold
	fallOfPeak  = 0.3              // what falls from less has faded or was let off: bars break from 73 % and more (open traces)
	fallOfNoisy = 0.45             // the tail of a let-off in noise must not look like one
	levelWindow = 50 * time.Millisecond
	levelMost   = 32
	edgeNoise   = 3 // SDs below the level before: the first reading of the fall
	edgeShare   = 0.005
	edgeCounts  = 1
	edgeRate    = 0.1  // of the steepest fall: slower is necking, not yet the break
	necked      = 0.97 // of the level of 0.3 s before: it fell before it let go
	edgeParts   = 8    // of a fall, over which its rate is taken
	rateWindow  = 5 * time.Second
	risingFor   = 1 * time.Second        // the drag hand moved so lately: still pumping, or in the rest between two strokes
	risingFall  = 150 * time.Millisecond // and so fast, no hand on a valve is

	// A fall that is whole again (fallHigh of the level before) was none: the
	// reading dropped out. Within dropoutWait, or the next reading where they are
	// farther apart, it is not told at all, and that is all a true break is
	// delayed; within dropoutMost the break is withdrawn. No hand pump gives the
	// whole force back in that time: a stroke takes 0.3 s and gives a part of it.
	dropoutWait = 5 * time.Millisecond
	dropoutMost = 200 * time.Millisecond

	slipRegain   = 0.10 // of the peak (design 5)
	regainNoise  = 8    // SDs, each by the root of the readings in the view: what hum swings by
	slipHold     = 200 * time.Millisecond
	reloadAbove  = 0.15 // of the peak of the load let off
	breakSettled = 2 * time.Second
	doneBelow    = 0.10
	pastPeakDrop = 0.02
	pastPeakFor  = 5 * time.Second // longer than the rest between two strokes
	endedAbove   = 0.5             // of the peak (design 5)
	endFall      = 0.75            // of the level before: a record may end as early in a snap
)

// Rest after an end that is no break and that more may follow.
const (
	// RestFor is how long the force must rest before a run that nobody can end by
	// hand ends. Between two strokes a person waits a second or so; who has let off
	// to look at the grips, and pumps the ram out again, is back sooner (no source).
	RestFor      = time.Minute
	restReadings = 30               // in it: one in 2 s, or a stroke could lie between two
	restMean     = 5 * time.Second  // whose mean shows what the noise hides
	restRise     = 0.5              // of the load that counts as one: the slack is being taken up
	restNoise    = 6                // SDs: a minute at 1 kHz is 60,000 readings
	waitsAfter   = 10 * time.Second // let off and pumped again at once needs no words
)
