package api

import (
	"net/http"
	"strconv"
	"time"

	"github.com/labstack/echo/v4"
	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"

	"boardlore/store"
)

// metrics is what the server counts. Routes are labelled by their pattern, so
// that the number of series does not grow with the boards.
type metrics struct {
	handler  http.Handler
	inFlight prometheus.Gauge
	requests *prometheus.CounterVec
	seconds  *prometheus.HistogramVec
}

func newMetrics(st *store.Store, version string) *metrics {
	reg := prometheus.NewRegistry()
	m := &metrics{
		inFlight: prometheus.NewGauge(prometheus.GaugeOpts{Name: "boardlore_requests_in_flight", Help: "Requests being answered."}),
		requests: prometheus.NewCounterVec(prometheus.CounterOpts{Name: "boardlore_requests_total", Help: "Requests answered."},
			[]string{"method", "route", "status"}),
		seconds: prometheus.NewHistogramVec(prometheus.HistogramOpts{Name: "boardlore_request_seconds", Help: "Time to answer.",
			Buckets: []float64{.0005, .001, .0025, .005, .01, .025, .05, .1, .25, .5, 1, 2.5, 10}}, []string{"route"}),
	}
	info := prometheus.NewGaugeVec(prometheus.GaugeOpts{Name: "boardlore_build_info", Help: "1, labelled by version."}, []string{"version"})
	info.WithLabelValues(version).Set(1)
	reg.MustRegister(m.inFlight, m.requests, m.seconds, info, storeMetrics{st},
		collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	m.handler = promhttp.HandlerFor(reg, promhttp.HandlerOpts{})
	return m
}

func (m *metrics) count(method, route string, status int, took time.Duration) {
	if route == "" {
		route = "none"
	}
	switch method {
	case http.MethodGet, http.MethodHead, http.MethodPost, http.MethodPut, http.MethodOptions:
	default:
		method = "other" // the caller chooses the word; the series must not be theirs to make
	}
	m.requests.WithLabelValues(method, route, strconv.Itoa(status)).Inc()
	m.seconds.WithLabelValues(route).Observe(took.Seconds())
}

// storeMetrics reads the store's figures when they are asked for.
type storeMetrics struct{ st *store.Store }

var (
	descHits    = prometheus.NewDesc("boardlore_cache_hits_total", "Revisions found in memory.", nil, nil)
	descMisses  = prometheus.NewDesc("boardlore_cache_misses_total", "Revisions read from the database.", nil, nil)
	descBytes   = prometheus.NewDesc("boardlore_cache_bytes", "Memory that cached revisions take.", nil, nil)
	descConns   = prometheus.NewDesc("boardlore_database_connections", "Connections to the database.", nil, nil)
	descIdle    = prometheus.NewDesc("boardlore_database_connections_idle", "Connections to the database that wait for work.", nil, nil)
	descWaits   = prometheus.NewDesc("boardlore_database_waits_total", "Times that a request waited for a connection.", nil, nil)
	storeFields = []*prometheus.Desc{descHits, descMisses, descBytes, descConns, descIdle, descWaits}
)

func (m storeMetrics) Describe(ch chan<- *prometheus.Desc) {
	for _, d := range storeFields {
		ch <- d
	}
}

func (m storeMetrics) Collect(ch chan<- prometheus.Metric) {
	st := m.st.Stats()
	ch <- prometheus.MustNewConstMetric(descHits, prometheus.CounterValue, float64(st.CacheHits))
	ch <- prometheus.MustNewConstMetric(descMisses, prometheus.CounterValue, float64(st.CacheMisses))
	ch <- prometheus.MustNewConstMetric(descBytes, prometheus.GaugeValue, float64(st.CacheBytes))
	ch <- prometheus.MustNewConstMetric(descConns, prometheus.GaugeValue, float64(st.Conns))
	ch <- prometheus.MustNewConstMetric(descIdle, prometheus.GaugeValue, float64(st.ConnsIdle))
	ch <- prometheus.MustNewConstMetric(descWaits, prometheus.CounterValue, float64(st.Waits))
}

func (s *server) metricsPage(c echo.Context) error {
	s.metrics.handler.ServeHTTP(c.Response(), c.Request())
	return nil
}
