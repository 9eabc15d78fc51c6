package web

import (
	"cmp"
	"fmt"
	"html/template"
	"net/http"
	"net/url"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/door"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
)

// devicesPage is what was let in, with the form that lets another in.
type devicesPage struct {
	Page
	Headline message.Text
	Guarded  bool // a pass-phrase is set; without one nobody else reaches the server
	Devices  []deviceRow
	Mays     []choice
	Code     string // just made
	At       string // where it is typed
	Drawing  template.HTML
	Local    bool // opened by a name that another device cannot use
	Secure   bool
	Faults   []fault

	Calendars []calendarRow
	Alarms    []choice
	Address   string // of a calendar, just made

	Programs []deviceRow
	Token    string // just made
}

type deviceRow struct {
	ID, Name, Person string
	May, Since, Seen message.Text
}

func (s *Server) devicesPage(w http.ResponseWriter, r *http.Request) error {
	page, err := s.layDevices(r)
	if err != nil {
		return err
	}
	return s.answer(w, r, "devices", page, map[string]any{"devices": page.Devices})
}

func (s *Server) layDevices(r *http.Request) (*devicesPage, error) {
	all, err := door.Of(s.opt.Dir).Devices()
	if err != nil {
		return nil, err
	}
	page := &devicesPage{Page: s.base(r, "Devices"), Guarded: s.opt.Passphrase != "", Local: localName(r.Host),
		Secure: by(r).secure, Headline: "No other device was let in.", Alarms: alarmWords}
	for _, d := range all {
		if d.May == door.Calendar {
			page.addCalendar(d)
			continue
		}
		list := &page.Devices
		if d.May.Of() != "" {
			list = &page.Programs
		}
		*list = append(*list, deviceRow{d.ID, d.Name, d.Person, d.May.Words(),
			told.Long(civil.Of(d.Since.Local())), told.Long(civil.Of(d.Seen.Local()))})
	}
	if n := len(page.Devices); n > 0 {
		page.Headline = told.Count(n, "device was let in.", "devices were let in.").Capital()
	}
	for _, m := range door.Mays {
		page.Mays = append(page.Mays, choice{Value: string(m), Say: m.Words(), Chosen: m == door.Write})
	}
	return page, nil
}

// tokenMake makes the token of a program and shows it this once.
func (s *Server) tokenMake(w http.ResponseWriter, r *http.Request) error {
	if err := form(r); err != nil {
		return err
	}
	key, err := door.Of(s.opt.Dir).Token(r.PostForm.Get("program"), door.May(r.PostForm.Get("does")), s.opt.Now())
	page, lay := s.layDevices(r)
	if lay != nil {
		return lay
	}
	if err != nil {
		page.Faults = faults(err)
		return s.render(w, r, status(err), "devices", page)
	}
	page.Token, page.Headline = key, "Give this token to the program: it is shown this once."
	return s.render(w, r, http.StatusOK, "devices", page)
}

func (p *devicesPage) addCalendar(d door.Device) {
	row := calendarRow{d.ID, d.Name, cmp.Or(message.Name(d.Vehicle), "all vehicles"), "",
		told.Long(civil.Of(d.Since.Local())), told.Long(civil.Of(d.Seen.Local()))}
	for _, v := range p.Vehicles {
		if v.ID == d.Vehicle {
			row.Of = message.Name(v.Name)
		}
	}
	for _, a := range alarmWords {
		if a.Value == d.Alarm {
			row.Alarm = a.Say
		}
	}
	p.Calendars = append(p.Calendars, row)
}

// deviceInvite makes a code and shows it this once.
func (s *Server) deviceInvite(w http.ResponseWriter, r *http.Request) error {
	if err := form(r); err != nil {
		return err
	}
	code, err := door.Of(s.opt.Dir).Invite(r.PostForm.Get("person"), door.May(r.PostForm.Get("may")), s.opt.Now())
	page, lay := s.layDevices(r)
	if lay != nil {
		return lay
	}
	if err != nil {
		page.Faults = faults(err)
		return s.render(w, r, status(err), "devices", page)
	}
	page.Code, page.Headline = code, "This code lets one device in, once, within ten minutes."
	page.At = s.ownAddress(r) + "pair"
	path, side, err := door.Path(door.Link(s.ownAddress(r), code))
	if err != nil {
		return err
	}
	page.Drawing = drawnCode(path, side, s.inLanguage(r))
	return s.render(w, r, http.StatusOK, "devices", page)
}

// drawnCode is a QR code: dark on light by night as well, or readers miss it.
func drawnCode(path string, side int, in *message.Language) template.HTML {
	label := template.HTMLEscapeString(message.Text("The code, to be read by a camera").In(in))
	return template.HTML(fmt.Sprintf(`<svg class="qr" viewBox="0 0 %d %d" role="img" `+
		`aria-label="%s">`+
		`<path fill="#fff" d="M0 0h%dv%dh-%dz"/><path d="%s"/></svg>`, side, side, label, side, side, side, path))
}

// ownAddress is the address by which a request reached this server.
func (s *Server) ownAddress(r *http.Request) string {
	u := url.URL{Scheme: "http", Host: r.Host, Path: "/"}
	if by(r).secure {
		u.Scheme = "https"
	}
	return u.String()
}

func (s *Server) deviceAway(w http.ResponseWriter, r *http.Request) error {
	if _, err := door.Of(s.opt.Dir).TurnAway(r.PathValue("device")); err != nil {
		return err
	}
	http.Redirect(w, r, "/devices", http.StatusSeeOther)
	return nil
}

// pairPage asks a device for its code and its name.
type pairPage struct {
	Page
	Code, Device string
	Faults       []fault
}

func (s *Server) pairPage(w http.ResponseWriter, r *http.Request) error {
	if s.opt.Passphrase == "" {
		http.Redirect(w, r, "/", http.StatusSeeOther)
		return nil
	}
	return s.render(w, r, http.StatusOK, "pair", pairPage{Page: s.base(r, "Come in"), Code: r.URL.Query().Get("code")})
}

// pairTry lets a device in that brings a code. What is wrong waits for its answer as a
// wrong pass-phrase does, and is logged with where it came from alone.
func (s *Server) pairTry(w http.ResponseWriter, r *http.Request) error {
	if s.opt.Passphrase == "" {
		http.Redirect(w, r, "/", http.StatusSeeOther)
		return nil
	}
	if err := form(r); err != nil {
		return err
	}
	typed := pairPage{Page: s.base(r, "Come in"), Code: r.PostForm.Get("code"), Device: r.PostForm.Get("device")}
	key, err := door.Of(s.opt.Dir).Pair(typed.Code, typed.Device, s.opt.Now())
	if fleet.KindOf(err) == fleet.Invalid {
		s.opt.Log.Warn("no device was let in", "request", requestID(r), "from", r.RemoteAddr)
		s.gate.refuse(r.Context())
		typed.Faults = faults(err)
		return s.render(w, r, status(err), "pair", typed)
	}
	if err != nil {
		return err
	}
	http.SetCookie(w, &http.Cookie{Name: deviceCookie, Value: key, Path: "/", HttpOnly: true, Secure: by(r).secure,
		SameSite: http.SameSiteLaxMode, MaxAge: int(deviceStays.Seconds())})
	http.Redirect(w, r, "/", http.StatusSeeOther)
	return nil
}

// houseCert hands out what a device is to trust.
func (s *Server) houseCert(w http.ResponseWriter, _ *http.Request) error {
	src, err := door.Of(s.opt.Dir).CA()
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/x-x509-ca-cert")
	_, err = w.Write(src)
	return err
}
