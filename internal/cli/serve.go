package cli

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/netip"
	"os"
	"os/signal"
	"path/filepath"
	"runtime/debug"
	"strings"
	"syscall"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"undertray.example/undertray/internal/backup"
	"undertray.example/undertray/internal/door"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/web"
)

// serving is what the flags of serve and demo say.
type serving struct {
	listen, cert, key string
	hosts, proxies    []string
	verbose, demo     bool
	ready             func() error // waited for before the first answer; nil: ready at once
}

// serverMemory is how much memory a server fills, in bytes, before it cleans up
// more often than it would otherwise: what it keeps takes about half of it.
// GOMEMLIMIT says otherwise.
const serverMemory = 88 << 20

const defaultListen = "localhost:8337"

func (o *serving) flags(c *cobra.Command) {
	c.Flags().StringVar(&o.listen, "listen", defaultListen, "address to serve on, host:port")
	c.Flags().BoolVar(&o.verbose, "verbose", false, "log every request")
}

func (a *app) serveCmd() *cobra.Command {
	var o serving
	c := &cobra.Command{Use: "serve", Short: "Serve your yard as pages, for this machine or for a phone under the car",
		Args: a.args(0, 0),
		Long: "Serves the yard as pages until it is interrupted. Without --listen only this machine\n" +
			"reaches it. Any other address needs a pass-phrase (undertray passphrase). Over plain\n" +
			"HTTP the pass-phrase can be read by others on the same network: make a certificate\n" +
			"(undertray certificate), or give one of your own by --cert and --key.\n\n" + exitHelp,
		Example: "  undertray serve\n  undertray serve --listen :8337 --cert yard.pem --key yard.key\n" +
			"  undertray serve --proxy 127.0.0.1",
		RunE: func(c *cobra.Command, _ []string) error { return a.serve(c.Context(), o) }}
	o.flags(c)
	c.Flags().StringVar(&o.cert, "cert", "", "file with the certificate, PEM")
	c.Flags().StringVar(&o.key, "key", "", "file with the certificate's key, PEM")
	c.Flags().StringSliceVar(&o.hosts, "host", nil,
		"name or address to answer to without a pass-phrase too, where something else keeps others out")
	c.Flags().StringSliceVar(&o.proxies, "proxy", nil,
		"address of a proxy, or 10.0.0.0/8, that is believed who asks (X-Forwarded-For) and whether over TLS "+
			"(X-Forwarded-Proto)")
	return c
}

// serve answers until the program is interrupted.
func (a *app) serve(ctx context.Context, o serving) (err error) {
	if (o.cert == "") != (o.key == "") {
		return usageError{&fleet.Error{Kind: fleet.Invalid, Where: "--cert, --key", Msg: "they go together",
			Hint: "give both, or neither"}}
	}
	if err := os.MkdirAll(a.dir, 0o755); err != nil {
		return &fleet.Error{Kind: fleet.Unavailable, Where: a.dir, Msg: "the yard's folder cannot be made",
			Hint: "choose another with --yard", Err: err}
	}
	hash, err := web.ReadPassphrase(a.dir)
	if err != nil {
		return err
	}
	store, err := a.openJournal(ctx)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, store.Close()) }()
	return a.serveFrom(ctx, o, hash, store)
}

// serveFrom answers from a journal that is open, until the program is
// interrupted.
func (a *app) serveFrom(ctx context.Context, o serving, hash string, store journal.Store) error {
	if hash == "" && !web.Loopback(o.listen) {
		return &fleet.Error{Kind: fleet.Invalid, Where: "--listen " + o.listen,
			Msg:  "others could reach that address, and no pass-phrase is set",
			Hint: "set one with: undertray passphrase"}
	}
	if o.cert == "" && !o.demo && !web.Loopback(o.listen) {
		o.cert, o.key = door.Of(a.dir).ServerFiles()
	}
	if len(o.hosts) > 0 {
		if _, _, err := door.Names(o.hosts); err != nil {
			return fmt.Errorf("--host: %w", err)
		}
	}
	proxies, err := prefixes(o.proxies)
	if err != nil {
		return err
	}
	srv, err := web.New(web.Options{Dir: a.dir, Journal: journal.FoldsOf(store, a.dir), Now: a.now, NewID: a.newID,
		Log:        a.logger(o.verbose),
		Passphrase: hash, Secure: o.cert != "", Hosts: o.hosts, Proxies: proxies, Demo: o.demo,
		Remind: a.reminder(store, o)})
	if err != nil {
		return err
	}
	if os.Getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(serverMemory)
		debug.SetGCPercent(200) // below that it need not be tidy
	}
	go srv.Warm()
	ln, err := net.Listen("tcp", o.listen)
	var unknown *net.DNSError
	if port, ok := strings.CutPrefix(o.listen, "localhost:"); ok && errors.As(err, &unknown) {
		ln, err = net.Listen("tcp", "127.0.0.1:"+port) // a bare machine may not know its own name
	}
	if err != nil {
		return &fleet.Error{Kind: fleet.Unavailable, Where: "--listen " + o.listen, Msg: "the address cannot be used",
			Hint: "something else may be serving there: choose another port", Err: err}
	}
	if o.ready != nil {
		if err := o.ready(); err != nil {
			return errors.Join(err, ln.Close())
		}
	}
	ctx, stop := signal.NotifyContext(ctx, os.Interrupt, syscall.SIGTERM)
	defer stop()
	a.line("Open %s in a browser. Ctrl-C ends it.", address(ln, o))
	return srv.Serve(ctx, ln, o.cert, o.key)
}

// prefixes reads addresses, each alone or with how many of its bits count.
func prefixes(typed []string) ([]netip.Prefix, error) {
	var out []netip.Prefix
	for _, one := range typed {
		p, err := netip.ParsePrefix(one)
		if ip, alone := netip.ParseAddr(one); alone == nil {
			p, err = netip.PrefixFrom(ip.Unmap(), ip.Unmap().BitLen()), nil
		}
		if err != nil {
			return nil, &fleet.Error{Kind: fleet.Invalid, Where: "--proxy " + one,
				Msg:  "that is no address of a machine",
				Hint: "write 127.0.0.1 for a proxy on this machine, or 10.0.0.0/8 for a network", Err: err}
		}
		out = append(out, p)
	}
	return out, nil
}

// reminder returns what says that the yard should be backed up; nobody is
// reminded of a made-up one.
func (a *app) reminder(store journal.Store, o serving) func(context.Context) message.Text {
	return func(ctx context.Context) message.Text {
		if o.demo {
			return ""
		}
		return backup.Reminder(ctx, a.dir, store, a.now())
	}
}

// address returns what to type into a browser.
func address(ln net.Listener, o serving) string {
	scheme := "http"
	if o.cert != "" {
		scheme = "https"
	}
	host, port, err := net.SplitHostPort(ln.Addr().String())
	if err != nil {
		return scheme + "://" + ln.Addr().String()
	}
	if ip := net.ParseIP(host); ip == nil || ip.IsLoopback() || ip.IsUnspecified() {
		host = "localhost"
	}
	return scheme + "://" + net.JoinHostPort(host, port) + "/"
}

func (a *app) logger(verbose bool) *slog.Logger {
	level := slog.LevelWarn
	if verbose {
		level = slog.LevelInfo
	}
	return slog.New(slog.NewTextHandler(a.err, &slog.HandlerOptions{Level: level}))
}

func (a *app) passphraseCmd() *cobra.Command {
	var remove bool
	c := &cobra.Command{Use: "passphrase", Short: "Set the pass-phrase that the served pages ask for",
		Args: a.args(0, 0),
		Long: "Asks for a pass-phrase twice and keeps its hash (argon2id) in the yard's folder. When it\n" +
			"is not typed at a terminal it is read from the first line of standard input.\n" +
			"A server that runs asks for the new one from its next start on.",
		RunE: func(*cobra.Command, []string) error {
			if remove {
				if err := os.Remove(passphrasePath(a.dir)); err != nil && !errors.Is(err, os.ErrNotExist) {
					return err
				}
				a.line("No pass-phrase is set any longer: the pages are served to this machine alone.")
				return nil
			}
			phrase, err := a.askPhrase()
			if err != nil {
				return err
			}
			hash, err := web.HashPassphrase(phrase)
			if err != nil {
				return err
			}
			if err := web.WritePassphrase(a.dir, hash); err != nil {
				return err
			}
			a.line("The pass-phrase is set.")
			return nil
		}}
	c.Flags().BoolVar(&remove, "remove", false, "take the pass-phrase away again")
	return c
}

// passphrasePath returns where the hash is kept.
func passphrasePath(dir string) string {
	return filepath.Join(dir, web.PassphraseFile)
}

// askPhrase reads the pass-phrase: unseen and twice at a terminal, else the
// first line of standard input.
func (a *app) askPhrase() (string, error) {
	fd := terminal(a.in)
	if fd < 0 {
		line, err := bufio.NewReader(a.in).ReadString('\n')
		if err != nil && !errors.Is(err, io.EOF) {
			return "", err
		}
		return strings.TrimRight(line, "\r\n"), nil
	}
	var typed [2]string
	for i, prompt := range []string{"Pass-phrase: ", "Once more: "} {
		fmt.Fprint(a.err, prompt)
		b, err := term.ReadPassword(fd)
		fmt.Fprintln(a.err)
		if err != nil {
			return "", err
		}
		typed[i] = string(b)
	}
	if typed[0] != typed[1] {
		return "", &fleet.Error{Kind: fleet.Invalid, Msg: "the two are not the same", Hint: "try again"}
	}
	return typed[0], nil
}
