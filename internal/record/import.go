package record

import (
	"slices"
	"strconv"
	"strings"
)

// Bounds on the further channels of a record: with them a line still stays
// below maxLine.
const (
	MaxChannels = 12
	maxChanName = 24
)

// Channel is a further column of samples.csv: what was measured beside the
// force. It takes no part in any reckoning.
type Channel struct {
	Column string `json:"column"`         // its name in the header line of samples.csv
	Name   string `json:"name,omitempty"` // as named where it came from
	Unit   string `json:"unit,omitempty"` // as stated there
}

// Imported says where the readings of a record came from that was not pulled
// with this program, and how the file was understood.
type Imported struct {
	File   string `json:"file"`   // its name, without folders
	SHA256 string `json:"sha256"` // of its bytes, in hexadecimal
	Bytes  int64  `json:"bytes"`
	// Understood is what was read out of the file, a sentence each, for a person.
	Understood []string `json:"understood,omitempty"`
	TimeColumn string   `json:"time_column,omitempty"` // empty: it had none, the rate stood in
	TimeUnit   string   `json:"time_unit,omitempty"`
	LoadColumn string   `json:"load_column"`
	LoadUnit   string   `json:"load_unit,omitempty"`
	Flipped    bool     `json:"sign_turned,omitempty"`
	Rows       int      `json:"rows"`
	BadRows    int      `json:"bad_rows"`
}

// StandInRig is the name of the rig that stands in for one nobody told of a table: it
// gives back the table's own forces, and its accuracy is assumed.
const StandInRig = "as imported: force at the specimen"

// StandIn says that nobody told on what rig a table was measured.
func (h *Head) StandIn() bool { return h.Imported != nil && h.Rig != nil && h.Rig.Name == StandInRig }

// ChannelColumns gives each channel a column name fit for the header line: ASCII
// letters, digits and _, begun with a letter, none twice and none of the four.
// It drops what is beyond MaxChannels.
func ChannelColumns(in []Channel) []Channel {
	out := slices.Clone(in[:min(len(in), MaxChannels)])
	taken := strings.Split(header, ",")
	for i := range out {
		var b strings.Builder
		for _, r := range strings.ToLower(out[i].Name) {
			switch {
			case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
				b.WriteRune(r)
			case b.Len() > 0 && !strings.HasSuffix(b.String(), "_"):
				b.WriteByte('_')
			}
		}
		name := strings.Trim(b.String()[:min(b.Len(), maxChanName)], "_")
		if name == "" || name[0] <= '9' {
			name = strings.TrimSuffix("channel_"+name, "_")
		}
		free := name
		for n := 2; slices.Contains(taken, free); n++ {
			free = name + "_" + strconv.Itoa(n)
		}
		out[i].Column = free
		taken = append(taken, free)
	}
	return out
}

// headerLine is the first line of samples.csv, with the channels' columns.
func headerLine(channels []Channel) []byte {
	line := []byte(header)
	for _, c := range channels {
		line = append(line, ',')
		line = append(line, c.Column...)
	}
	return append(line, '\n')
}

// appendChannels puts the channels' cells behind a line of appendLine, n of
// them; those are empty that are missing, longer than MaxField, or hold what
// would be escaped, lest the line become longer than maxLine.
func appendChannels(line []byte, cells []string, n int) []byte {
	if n == 0 {
		return line
	}
	line = line[:len(line)-1] // the line end
	for i := range n {
		line = append(line, ',')
		if i < len(cells) && len(cells[i]) <= MaxField && !escaped(cells[i]) {
			line = appendField(line, cells[i])
		}
	}
	return append(line, '\n')
}

// escaped says that appendField would write more than the text and quotes.
func escaped(s string) bool {
	for _, c := range []byte(s) {
		if !plain[c] && c != ',' {
			return true
		}
	}
	return false
}
