package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"runtime/debug"
	"time"

	"github.com/spf13/cobra"

	"boardlore/api"
	"boardlore/api/hook"
	"boardlore/api/pages"
	"boardlore/domain/fault"
	"boardlore/store"
)

func serveCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "serve",
		Short: "Run the server",
		Long: `serve runs the server until it is interrupted. Without --database-url it keeps
its own PostgreSQL in the data folder. At its start it brings the database up to
this version; a database made by a newer version is refused.

The log goes to standard error, one JSON line an entry.`,
		Args: exactly(0, "no arguments"),
	}
	addSettings(cmd, serverSettings)
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		c, err := readConfig(cmd, serverSettings)
		if err != nil {
			return err
		}
		log := slog.New(slog.NewJSONHandler(cmd.ErrOrStderr(), &slog.HandlerOptions{Level: c.logLevel}))
		return withServer(cmd.Context(), c, log, func(s string) { log.Info(s) }, func(_ context.Context, _ *store.Store,
			address string) error {
			log.Info("serving", "address", address)
			return nil
		})
	}
	return cmd
}

// withServer starts database and server, calls ready once requests are
// answered, and serves until ctx ends or something fails. Everything is
// stopped in the reverse order, requests first, the database last.
func withServer(ctx context.Context, c config, log *slog.Logger, progress func(string),
	ready func(ctx context.Context, s *store.Store, address string) error) (err error) {
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	db, err := ownDatabase(ctx, c, progress)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.close()) }()
	db.watch(cancel)
	if err := store.Await(ctx, db.url, awaitTime, progress); err != nil {
		return err
	}
	if err := store.Migrate(ctx, db.url, progress); err != nil {
		return err
	}
	if c.poolerURL != "" {
		if err := store.Await(ctx, c.poolerURL, awaitTime, progress); err != nil {
			return err
		}
	}
	s, err := store.OpenSoon(ctx, db.url, store.Options{Replica: c.replicaURL, Pooler: c.poolerURL, Budget: c.budget,
		Disk: db.disk()}, awaitTime, progress)
	if err != nil {
		return err
	}
	defer s.Close()
	if err := signs(ctx, c, s); err != nil {
		return err
	}
	server, address, err := listen(c, log, s)
	if err != nil {
		return err
	}
	defer server.figures.close()
	if c.mirror == "" {
		told, err := s.Deliver(ctx, hook.New(c.publicURL).Send)
		if err != nil {
			return errors.Join(err, server.listener.Close())
		}
		defer told()
	}
	failed := make(chan error, 1)
	go func() { failed <- server.serve() }()
	if err := ready(ctx, s, address); err != nil {
		return errors.Join(err, server.stop(c.grace))
	}
	select {
	case err := <-failed:
		return err
	case <-ctx.Done():
	}
	if cause := context.Cause(ctx); !errors.Is(cause, context.Canceled) {
		err = cause
	}
	return errors.Join(err, server.stop(c.grace))
}

// signs makes sure that a registry has its log's key from the start, so that no
// backup is without it. It keeps a mirror's folder from being served as a
// registry, whose releases would make its log another than the one that it follows.
func signs(ctx context.Context, c config, s *store.Store) error {
	if c.mirror != "" {
		return nil
	}
	m, err := s.Mirror(ctx)
	if err != nil {
		return err
	}
	if m != nil && !m.Promoted {
		return fmt.Errorf("this is a mirror of %s: serve it with boardlore mirror, or make it a registry with boardlore log promote", m.Address)
	}
	if _, err = s.Log(ctx); fault.Is(err, fault.Unavailable) {
		return nil // it is made when somebody asks
	}
	return err
}

// watch ends the server when the private database has gone for good.
func (d *database) watch(cancel context.CancelCauseFunc) {
	if d.cluster == nil {
		return
	}
	go func() {
		<-d.cluster.Done()
		if err := d.cluster.Err(); err != nil {
			cancel(fmt.Errorf("the private database has stopped: %w", err))
		}
	}()
}

type server struct {
	http     *http.Server
	listener net.Listener
	figures  figures
}

// Time limits of a connection. Bodies are at most a few megabytes, so a minute
// is ample even over a slow line.
const (
	headerTime = 10 * time.Second
	bodyTime   = time.Minute
	answerTime = 2 * time.Minute
	idleTime   = 2 * time.Minute
)

func listen(c config, log *slog.Logger, s *store.Store) (*server, string, error) {
	p, err := pages.New(s, pages.Options{Secure: c.secure(), PublicURL: c.publicURL})
	if err != nil {
		return nil, "", err
	}
	var f figures
	hs := &http.Server{
		ReadHeaderTimeout: headerTime, ReadTimeout: bodyTime, WriteTimeout: answerTime, IdleTimeout: idleTime,
		MaxHeaderBytes: 64 << 10, ErrorLog: slog.NewLogLogger(log.Handler(), slog.LevelWarn),
	}
	closing := make(chan struct{})
	hs.RegisterOnShutdown(func() { close(closing) })
	hs.Handler, err = api.New(api.Config{Closing: closing, Mirror: c.mirror, LogAddresses: c.addresses,
		Figures: func(h http.Handler) { f.handler = h }, Store: s, Log: log, Version: version(), Limits: c.limits,
		TrustedProxies: c.proxies, PublicURL: c.publicURL,
		Pages: p.Mount, ErrorPage: p.ErrorPage})
	if err != nil {
		return nil, "", err
	}
	l, err := net.Listen("tcp", c.listen)
	if err != nil {
		return nil, "", fmt.Errorf("%w; name another address with --listen", err)
	}
	if err := f.listen(c.metrics, log); err != nil {
		return nil, "", errors.Join(err, l.Close())
	}
	return &server{listener: l, figures: f, http: hs}, l.Addr().String(), nil
}

func (s *server) serve() error {
	if err := s.http.Serve(s.listener); !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	return nil
}

// figures is the listener of a monitor's figures.
type figures struct {
	handler http.Handler
	http    *http.Server
}

// listen serves the figures at address. Where only the standard address is taken,
// as by another server of the machine, the server does without.
func (f *figures) listen(address string, log *slog.Logger) error {
	if address == "" {
		return nil
	}
	l, err := net.Listen("tcp", address)
	if err != nil && address == standardMetrics {
		log.Warn("no figures for a monitor; name another address with --metrics-listen", "error", err)
		return nil
	}
	if err != nil {
		return fmt.Errorf("%w; name another address with --metrics-listen", err)
	}
	f.http = &http.Server{Handler: f.handler, ReadHeaderTimeout: headerTime, WriteTimeout: answerTime}
	go func() { _ = f.http.Serve(l) }() // ends when it is closed
	return nil
}

func (f *figures) close() {
	if f.http != nil {
		_ = f.http.Close()
	}
}

// built is the version where the builder names one, as an image's does.
var built string

// version is the program's, as the build recorded it.
func version() string {
	if built != "" {
		return built
	}
	if info, ok := debug.ReadBuildInfo(); ok && info.Main.Version != "" {
		return info.Main.Version
	}
	return "unknown"
}

// stop lets running requests end within grace, then cuts them off.
func (s *server) stop(grace time.Duration) error {
	ctx, cancel := context.WithTimeout(context.Background(), grace)
	defer cancel()
	if err := s.http.Shutdown(ctx); err != nil {
		return errors.Join(fmt.Errorf("requests still ran after %s and were cut off: %w", grace, err), s.http.Close())
	}
	return nil
}
