package web

import (
	"cmp"
	"context"
	"errors"
	"log/slog"
	"net"
	"net/http"
	"net/netip"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"github.com/alexedwards/scs/v2"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/message/languages"
	"undertray.example/undertray/internal/picture"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/reckon"
	"undertray.example/undertray/internal/record"
	"undertray.example/undertray/internal/sheet/ask"
	"undertray.example/undertray/internal/together"
)

// Journal is what the pages need of a journal.
type Journal interface {
	record.Journal
	together.Folds
	together.RollJournal
	advise.Memory
	picture.Store
	// Attachment returns a recording or a picture that is kept, or a NotFound.
	Attachment(ctx context.Context, hash string) (*journal.Attachment, error)
	// Entries returns the entries that pass the filter, by id.
	Entries(ctx context.Context, f journal.Filter) ([]*fleet.Entry, error)
	// Head returns what the journal holds now.
	Head(ctx context.Context) (journal.Head, error)
	// Land calls add once; what it adds lands in one transaction or not at all.
	Land(ctx context.Context, add func(journal.Landing) error) error
	// Alarm returns what forbids to take facts, or nil.
	Alarm() error
}

// Options say what to serve and how.
type Options struct {
	Dir     string // folder of the yard
	Journal Journal
	Now     func() time.Time
	NewID   func() string // UUIDv7
	Log     *slog.Logger  // nil: nothing is logged
	// Patience is how long an answer may take; 0: 30 s.
	Patience time.Duration

	// Passphrase is the hash of the pass-phrase as HashPassphrase writes it;
	// empty: none is asked for, and only names of this machine are answered.
	Passphrase string
	Secure     bool // served over TLS: cookies are never sent without it
	// Hosts are names, without ports, that are answered without a pass-phrase beside this machine's own.
	Hosts []string
	// Proxies are the machines whose word is taken on who asks and whether over TLS.
	Proxies []netip.Prefix
	Demo    bool // a made-up yard, said on every page
	// Remind says that the yard should be backed up, or ""; nil: never.
	Remind func(context.Context) message.Text
}

// Server serves one yard.
type Server struct {
	opt       Options
	yards     *yardCache
	worked    together.Worked // what was worked out of the latest vehicles
	roll      together.Roll   // of a large yard
	assets    *assets
	plates    plateStore
	pages     pages
	sessions  *scs.SessionManager
	languages languages.All
	gate      gate  // lets one pass-phrase be tried at a time
	sounds    shelf // recordings that came in and are not kept yet
	smalls    shelf // small versions of pictures
	held      shelf // pictures that are counted on and not kept yet
	reading   readers

	plans     memo[*plan.Yard]          // under the yard's own rules
	kept      atomic.Pointer[plan.Yard] // the last of them, to begin the next with
	better    memo[*plan.Yard]          // nil: none is found
	search    search
	yardPlans memo[yardPlanMade]
	moved     memo[planMoved]
	reckoned  memo[*reckon.Reckoning]
	next      memo[nextVisit] // of each vehicle, once its plan was made

	untold sync.Once // a proxy was noticed that the server was not told of
}

// New makes a server. It fails only if the program's own templates are broken.
func New(opt Options) (*Server, error) {
	opt.Patience = cmp.Or(opt.Patience, requestTime)
	if opt.Log == nil {
		opt.Log = slog.New(slog.DiscardHandler)
	}
	files, err := loadAssets()
	if err != nil {
		return nil, err
	}
	s := &Server{opt: opt, languages: languages.With(ask.Texts), yards: &yardCache{dir: opt.Dir},
		worked: together.Worked{Folds: opt.Journal, Memory: opt.Journal},
		roll:   together.Roll{Journal: opt.Journal}, assets: files, plates: plateStore{build: files.build},
		gate:   gate{check: CheckPassphrase},
		sounds: shelf{most: mostSounds, bytes: soundsBytes}, smalls: shelf{most: mostSmalls, bytes: smallsBytes},
		held: shelf{most: mostHeld, bytes: heldBytes}}
	if s.pages, err = loadPages(files); err != nil {
		return nil, err
	}
	s.sessions = scs.New()
	s.sessions.Lifetime, s.sessions.IdleTimeout = 30*24*time.Hour, 7*24*time.Hour
	s.sessions.Cookie.Name = "undertray"
	s.sessions.Cookie.SameSite, s.sessions.Cookie.HttpOnly = http.SameSiteLaxMode, true
	return s, nil
}

// Warm reads the yard's files before the first request asks for them. Faults
// are told to whoever asks then.
func (s *Server) Warm() { s.yards.open() }

// Serve answers on a listener until the context ends, then lets requests that
// have begun finish for up to five seconds. With a certificate it speaks TLS.
func (s *Server) Serve(ctx context.Context, ln net.Listener, certFile, keyFile string) error {
	srv := &http.Server{Handler: s.Handler(), ReadHeaderTimeout: 10 * time.Second, ReadTimeout: 30 * time.Second,
		WriteTimeout: time.Minute, IdleTimeout: 2 * time.Minute, MaxHeaderBytes: 64 << 10,
		ErrorLog: slog.NewLogLogger(s.opt.Log.Handler(), slog.LevelWarn)}
	srv.RegisterOnShutdown(func() { s.search.is("") })
	go s.keepRoll(ctx)
	stop := context.AfterFunc(ctx, func() {
		grace, cancel := context.WithTimeout(context.Background(), 5*time.Second)
		defer cancel()
		srv.Shutdown(grace)
	})
	defer stop()
	var err error
	if certFile != "" {
		err = srv.ServeTLS(ln, certFile, keyFile)
	} else {
		err = srv.Serve(ln)
	}
	if errors.Is(err, http.ErrServerClosed) {
		return nil
	}
	return err
}

// Loopback reports whether an address to listen on, host:port, is reached from
// this machine alone.
func Loopback(addr string) bool {
	host, _, err := net.SplitHostPort(addr)
	if err != nil {
		return false
	}
	ip := net.ParseIP(host)
	return strings.EqualFold(host, "localhost") || ip != nil && ip.IsLoopback()
}

func (s *Server) today() civil.Date { return civil.Of(s.opt.Now()) }
