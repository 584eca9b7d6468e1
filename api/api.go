// Package api is boardlore over HTTP: the routes of the contract, the types of
// their requests and answers, refusals as problem details, and who may ask for
// what. A handler reads the request, calls one act or one look-up of the store
// or one computation of the domain, and writes the answer; it holds no rule of
// the trade and no SQL.
//
// routes.go is the table of contents. Every route of the table is described in
// describe.go, from which the OpenAPI description is made and by which queries
// and bodies are held to what they may say.
package api

import (
	"errors"
	"log/slog"
	"net"
	"net/http"
	"net/netip"
	"time"

	"github.com/labstack/echo/v4"
	"github.com/maypok86/otter/v2"

	"boardlore/store"
)

// Prefix is the path under which the contract's routes lie.
const Prefix = "/v1"

// Config says what a server is made of. Store is needed; the zero value of
// everything else stands for its default.
type Config struct {
	Store   *store.Store
	Log     *slog.Logger // default: nothing is logged
	Version string       // of the program, for the index and the metrics

	Limits         Limits
	Timeout        time.Duration  // for one request's work; default 30 s
	TrustedProxies []netip.Prefix // whose X-Forwarded-For is believed; default none
	PublicURL      string         // scheme and host as the world sees them, for feeds; default from the request

	LogAddresses bool // callers' addresses stand in the log

	Mirror string // address of the registry that this server mirrors; acts are refused then

	Closing <-chan struct{} // whoever waits for events is answered when it is closed; default never

	// Figures is given the handler of the figures for a monitor, and of profiles,
	// which belong on a listener of their own.
	Figures func(http.Handler)

	Pages     func(*echo.Echo, *Gate)           // adds the HTML pages
	ErrorPage func(echo.Context, Problem) error // writes a refusal as a page, outside Prefix, where a browser asks
}

type server struct {
	store     *store.Store
	log       *slog.Logger
	version   string
	addresses bool
	public    string
	timeout   time.Duration
	gate      *Gate
	metrics   *metrics
	exports   exports
	drawings  *otter.Cache[drawn, summed]
	waits     waits
	closing   <-chan struct{}
	errorPage func(echo.Context, Problem) error
	openapi   []byte

	referencePage []byte
}

// New makes the handler of a whole server, with its middleware.
func New(cfg Config) (http.Handler, error) {
	s, e, err := assemble(cfg)
	if err != nil {
		return nil, err
	}
	return s.outermost(e), nil
}

func assemble(cfg Config) (*server, *echo.Echo, error) {
	if cfg.Store == nil {
		return nil, nil, errors.New("api: a server needs a store")
	}
	if cfg.Log == nil {
		cfg.Log = slog.New(slog.DiscardHandler)
	}
	if cfg.Timeout <= 0 {
		cfg.Timeout = 30 * time.Second
	}
	s := &server{drawings: newDrawings(), closing: cfg.Closing, store: cfg.Store, log: cfg.Log, version: cfg.Version,
		addresses: cfg.LogAddresses, public: cfg.PublicURL, timeout: cfg.Timeout,
		gate: &Gate{cfg.Store, newLimiter(cfg.Limits), newTurns(), cfg.Mirror}, errorPage: cfg.ErrorPage}
	s.metrics = newMetrics(cfg.Store, s.gate.turns, cfg.Version)
	if cfg.Figures != nil {
		cfg.Figures(s.metrics.mux())
	}
	var err error
	if s.openapi, err = openAPI(cfg.Version); err != nil {
		return nil, nil, err
	}
	if s.referencePage, err = makeReference(s.openapi); err != nil {
		return nil, nil, err
	}
	e := echo.New()
	e.HideBanner, e.HidePort = true, true
	e.IPExtractor = addressOf(cfg.TrustedProxies)
	e.HTTPErrorHandler = s.answerError
	e.Use(s.around)
	s.register(e)
	if cfg.Pages != nil {
		cfg.Pages(e, s.gate)
	}
	return s, e, nil
}

// register adds every route of the table; whatever answers GET answers HEAD.
func (s *server) register(e *echo.Echo) {
	for _, r := range routes() {
		h := s.guard(&r)
		e.Add(r.method, r.path, h)
		if r.method == http.MethodGet {
			e.Add(http.MethodHead, r.path, h)
		}
	}
}

// addressOf finds the caller's address: the connection's, or what a trusted
// proxy says of it.
func addressOf(trusted []netip.Prefix) echo.IPExtractor {
	if len(trusted) == 0 {
		return echo.ExtractIPDirect()
	}
	options := []echo.TrustOption{echo.TrustLoopback(false), echo.TrustLinkLocal(false), echo.TrustPrivateNet(false)}
	for _, p := range trusted {
		p = p.Masked()
		options = append(options, echo.TrustIPRange(&net.IPNet{
			IP: p.Addr().AsSlice(), Mask: net.CIDRMask(p.Bits(), p.Addr().BitLen()),
		}))
	}
	return echo.ExtractIPFromXFFHeader(options...)
}
