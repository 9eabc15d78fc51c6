// Package door keeps who may come in to a served yard: devices, each with the name of
// whoever uses it, and invitations that make one. Each is a small file of its own in the
// yard's folder, so that commands and servers need no agreement between them: a device
// whose file is gone is turned away with its next request.
package door

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/yard"
)

// May is what somebody may do in a yard.
type May string

// What may be done: each includes those before it.
const (
	Look  May = "look"  // read every page
	Write May = "write" // keep facts as well
	All   May = "all"   // change sheets, set deadlines aside, let others in
)

// Calendar is what the address of a calendar may: give that out and no page.
const Calendar May = "calendar"

// What a program may that brings a token: ask as who may look, and tell as who may write.
const (
	Ask  May = "ask"
	Tell May = "tell"
)

// Mays are all that a person may, and Tokens all that a program may, the least first.
var (
	Mays   = []May{Look, Write, All}
	Tokens = []May{Ask, Tell}
)

// Words says who that is.
func (m May) Words() message.Text {
	switch m {
	case Look:
		return "looks, writes nothing down"
	case Write:
		return "writes down what is found and done"
	case Calendar:
		return "address of a calendar"
	case Ask:
		return "program that asks, writes nothing down"
	case Tell:
		return "program that asks and writes down"
	default:
		return "may do everything"
	}
}

// Includes reports whether who may do m may do what is asked.
func (m May) Includes(asked May) bool { return slices.Index(Mays, m) >= slices.Index(Mays, asked) }

// IsPerson reports whether somebody looks at pages with it.
func (m May) IsPerson() bool { return slices.Contains(Mays, m) }

// Of returns what a person may who may as much as a program that may m; "" where that is none's.
func (m May) Of() May {
	if i := slices.Index(Tokens, m); i >= 0 {
		return Mays[i]
	}
	return ""
}

// Device is something that was let in.
type Device struct {
	ID     string    `json:"-"` // to turn it away by; no secret
	Name   string    `json:"device"`
	Person string    `json:"person"`
	May    May       `json:"may"`
	Since  time.Time `json:"since"`
	Seen   time.Time `json:"-"` // when it came last, to an hour

	// Of the address of a calendar: the vehicle it is of ("": all), and when it reminds ("": never).
	Vehicle string `json:"vehicle,omitempty"`
	Alarm   string `json:"alarm,omitempty"`
}

// invitation is what a code that was not used yet stands for.
type invitation struct {
	Person string    `json:"person"`
	May    May       `json:"may"`
	Until  time.Time `json:"until"`
}

// Open is for how long a code opens the door.
const Open = 10 * time.Minute

const (
	letters   = "23456789ABCDEFGHJKMNPQRSTVWXYZ" // none that is taken for another
	codeSize  = 9
	keySize   = 32 // bytes
	longest   = 60 // characters of a name
	mostAtOne = 200
)

// Folder is the folder below a yard's that holds the devices.
const Folder = "devices"

// Door is the door of the yard in a folder.
type Door struct{ dir string }

// Of returns the door of the yard in dir. Nothing need be there.
func Of(dir string) *Door { return &Door{filepath.Join(dir, Folder)} }

// Invite makes a code that lets one device in, once, until Open has passed from now. A
// person without a name and a word that is none of Mays are refused with a *fleet.Error.
func (d *Door) Invite(person string, may May, now time.Time) (code string, err error) {
	person, err = named("person", person)
	if err != nil {
		return "", err
	}
	if !slices.Contains(Mays, may) {
		return "", &fleet.Error{Kind: fleet.Invalid, Msg: message.Of("nobody may %q", string(may)),
			Hint: "one of look, write and all"}
	}
	d.sweep(now)
	if err := d.room(); err != nil {
		return "", err
	}
	code = newCode()
	return code, d.write(d.invited(code), invitation{person, may, now.UTC().Add(Open)})
}

// room refuses where too many were let in.
func (d *Door) room() error {
	all, err := d.Devices()
	if err == nil && len(all) >= mostAtOne {
		err = &fleet.Error{Kind: fleet.Conflict, Msg: message.Of("%d devices were let in", len(all)),
			Hint: "turn away those that come no longer"}
	}
	return err
}

// Address makes the key of a calendar's address, for the program or person of that name: whoever has it reads the
// calendar, until it is turned away as a device is. of gives Name, Vehicle and Alarm, which are taken as they are.
func (d *Door) Address(of Device, now time.Time) (key string, err error) {
	of.Person, of.May = "Calendar", Calendar
	return d.key(of, now)
}

// Token makes the token of a program, or of a device that is one, of a name that stands beside all it writes down: it
// may ask, or tell as well, until it is turned away as a device is. A word that is none of Tokens is refused.
func (d *Door) Token(name string, may May, now time.Time) (key string, err error) {
	if !slices.Contains(Tokens, may) {
		return "", &fleet.Error{Kind: fleet.Invalid, Where: "may", Msg: message.Of("no program may %q", string(may)),
			Hint: "one of ask and tell"}
	}
	return d.key(Device{Name: name, Person: "Program", May: may}, now)
}

func (d *Door) key(of Device, now time.Time) (key string, err error) {
	if of.Name, err = named("name", of.Name); err != nil {
		return "", err
	}
	if err := d.room(); err != nil {
		return "", err
	}
	of.Since = now.UTC()
	key = randomKey()
	return key, d.write(d.file(digest(key)), of)
}

// Anew turns away the address of a calendar, named as for TurnAway, and makes another for the same.
func (d *Door) Anew(id string, now time.Time) (key string, err error) {
	old, err := d.find(id)
	if err == nil && old.May != Calendar {
		err = &fleet.Error{Kind: fleet.Invalid, Where: id, Msg: "that is a device and no calendar",
			Hint: "a device comes in by a code"}
	}
	if err != nil {
		return "", err
	}
	if err := os.Remove(d.file(old.ID)); err != nil {
		return "", err
	}
	return d.Address(*old, now)
}

// CalendarPath is where a server gives out the calendar of a key.
func CalendarPath(key string) string { return "/calendar/" + key + ".ics" }

func randomKey() string {
	b := make([]byte, keySize)
	rand.Read(b)
	return hex.EncodeToString(b)
}

// newCode draws from all codes alike: 9 of 30 letters, 44 bits.
func newCode() string {
	out := make([]byte, 0, codeSize)
	for b := make([]byte, 1); len(out) < codeSize; {
		rand.Read(b)
		if int(b[0]) < 256/len(letters)*len(letters) {
			out = append(out, letters[int(b[0])%len(letters)])
		}
	}
	return string(out[:3]) + "-" + string(out[3:6]) + "-" + string(out[6:])
}

// Pair lets a device in that brings a code, which is used up by it, and returns the key
// that the device shows from then on. What is not a code that holds now is refused.
func (d *Door) Pair(code, device string, now time.Time) (key string, err error) {
	device, err = named("device", device)
	if err != nil {
		return "", err
	}
	wrong := &fleet.Error{Kind: fleet.Invalid, Msg: "no code that holds now reads so",
		Hint: "a code lets one device in, within ten minutes: ask for a new one"}
	name := d.invited(code)
	var in invitation
	if err := read(name, &in); err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			return "", wrong
		}
		return "", err
	}
	if os.Remove(name) != nil || now.After(in.Until) { // of two that come at once one removes it
		return "", wrong
	}
	key = randomKey()
	return key, d.write(d.file(digest(key)), Device{Name: device, Person: in.Person, May: in.May, Since: now.UTC()})
}

// Who returns the device that shows a key, or nil where none that is let in does.
func (d *Door) Who(key string, now time.Time) (*Device, error) {
	if len(key) != 2*keySize {
		return nil, nil
	}
	name := d.file(digest(key))
	dev, err := device(name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err == nil && now.Sub(dev.Seen) > time.Hour {
		_ = os.Chtimes(name, now, now) // without it only the list is behind
	}
	return dev, err
}

// Devices lists what was let in, the latest first.
func (d *Door) Devices() ([]Device, error) {
	names, err := filepath.Glob(filepath.Join(d.dir, "let-in-*.json"))
	if err != nil {
		return nil, err
	}
	var out []Device
	for _, name := range names {
		dev, err := device(name)
		if errors.Is(err, fs.ErrNotExist) {
			continue // turned away just now
		}
		if err != nil {
			return nil, err
		}
		out = append(out, *dev)
	}
	slices.SortStableFunc(out, func(a, b Device) int { return b.Since.Compare(a.Since) })
	return out, nil
}

// TurnAway takes back what a device was given, which is named by its id or by the
// beginning of it, and returns it. What names none, or more than one, is refused.
func (d *Door) TurnAway(id string) (*Device, error) {
	dev, err := d.find(id)
	if err != nil {
		return nil, err
	}
	return dev, os.Remove(d.file(dev.ID))
}

func (d *Door) find(id string) (*Device, error) {
	all, err := d.Devices()
	if err != nil {
		return nil, err
	}
	all = slices.DeleteFunc(all, func(dev Device) bool { return id == "" || !strings.HasPrefix(dev.ID, id) })
	if len(all) != 1 {
		return nil, &fleet.Error{Kind: fleet.NotFound, Where: id,
			Msg:  message.Of("%d devices are called so", len(all)),
			Hint: "list them, each with its own, with: undertray devices"}
	}
	return &all[0], nil
}

// sweep removes invitations that hold no longer.
func (d *Door) sweep(now time.Time) {
	names, _ := filepath.Glob(filepath.Join(d.dir, "invited-*.json"))
	for _, name := range names {
		var in invitation
		if err := read(name, &in); err != nil || now.After(in.Until) {
			os.Remove(name)
		}
	}
}

// invited names the file of a code, however it was typed.
func (d *Door) invited(code string) string {
	keep := func(r rune) rune {
		if strings.ContainsRune(letters, r) {
			return r
		}
		return -1
	}
	return filepath.Join(d.dir, "invited-"+digest(strings.Map(keep, strings.ToUpper(code)))+".json")
}

func (d *Door) file(id string) string { return filepath.Join(d.dir, "let-in-"+id+".json") }

// digest names a file by a secret without telling it. A key has 256 bits and a code
// holds for minutes, so that no slower hash is needed.
func digest(secret string) string {
	sum := sha256.Sum256([]byte("undertray door " + secret))
	return hex.EncodeToString(sum[:12])
}

func (d *Door) write(name string, what any) error {
	src, err := json.Marshal(what)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(d.dir, 0o700); err != nil {
		return yard.Unwritable(Folder, err)
	}
	return yard.Replace(name, append(src, '\n'), 0o600)
}

func read(name string, into any) error {
	src, err := os.ReadFile(name)
	if err != nil {
		return err
	}
	if err := json.Unmarshal(src, into); err != nil {
		return &fleet.Error{Kind: fleet.Invalid, Where: filepath.Base(name), Msg: "the file does not say who is let in",
			Hint: "remove it, and let the device in again", Err: err}
	}
	return nil
}

func device(name string) (*Device, error) {
	info, err := os.Stat(name)
	if err != nil {
		return nil, err
	}
	id := strings.TrimSuffix(strings.TrimPrefix(filepath.Base(name), "let-in-"), ".json")
	dev := &Device{Seen: info.ModTime(), ID: id}
	return dev, read(name, dev)
}

// named is a name on one line. None at all and one too long are refused.
func named(what, typed string) (string, error) {
	name := strings.Join(strings.Fields(strings.ToValidUTF8(typed, "")), " ")
	if n := len([]rune(name)); n == 0 || n > longest {
		return "", &fleet.Error{Kind: fleet.Invalid, Where: what, Msg: message.Of("the name has %d characters", n),
			Hint: message.Of("take 1 to %d", longest)}
	}
	return name, nil
}
