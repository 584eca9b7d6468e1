package api

import (
	"context"
	"net/http"
	"net/http/pprof"
	"strconv"
	"time"

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

func newMetrics(st *store.Store, t *turns, version string) *metrics {
	reg := prometheus.NewRegistry()
	m := &metrics{
		inFlight: prometheus.NewGauge(prometheus.GaugeOpts{Name: "boardlore_requests_in_flight",
			Help: "Requests being answered."}),
		requests: prometheus.NewCounterVec(prometheus.CounterOpts{Name: "boardlore_requests_total",
			Help: "Requests answered."},
			[]string{"method", "route", "status"}),
		seconds: prometheus.NewHistogramVec(prometheus.HistogramOpts{Name: "boardlore_request_seconds",
			Help:    "Time to answer.",
			Buckets: []float64{.0005, .001, .0025, .005, .01, .025, .05, .1, .25, .5, 1, 2.5, 10}}, []string{"route"}),
	}
	info := prometheus.NewGaugeVec(prometheus.GaugeOpts{Name: "boardlore_build_info", Help: "1, labelled by version."},
		[]string{"version"})
	info.WithLabelValues(version).Set(1)
	reg.MustRegister(m.inFlight, m.requests, m.seconds, info, storeMetrics{st, t},
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
type storeMetrics struct {
	st    *store.Store
	turns *turns
}

var (
	descHits   = prometheus.NewDesc("boardlore_cache_hits_total", "Revisions found in memory.", nil, nil)
	descMisses = prometheus.NewDesc("boardlore_cache_misses_total", "Revisions read from the database.", nil, nil)
	descBytes  = prometheus.NewDesc("boardlore_cache_bytes", "Memory that cached revisions take.", nil, nil)
	descConns  = prometheus.NewDesc("boardlore_database_connections", "Connections to the database.", nil, nil)
	descIdle   = prometheus.NewDesc("boardlore_database_connections_idle",
		"Connections to the database that wait for work.", nil, nil)
	descWaits = prometheus.NewDesc("boardlore_database_waits_total", "Times that a request waited for a connection.",
		nil, nil)
	descWaiting = prometheus.NewDesc("boardlore_computations_waiting", "Requests that wait for their turn to compute.",
		nil, nil)
	descUp     = prometheus.NewDesc("boardlore_database_up", "1 where the database answers in time.", nil, nil)
	descReady  = prometheus.NewDesc("boardlore_ready", "1 where requests can be served, acts too.", nil, nil)
	descSize   = prometheus.NewDesc("boardlore_database_bytes", "Room that the database takes.", nil, nil)
	descOpen   = prometheus.NewDesc("boardlore_proposals_open", "Proposals that wait for a decision.", nil, nil)
	descOldest = prometheus.NewDesc("boardlore_proposals_oldest_seconds",
		"Age of the oldest open proposal; 0 for none.", nil, nil)
	descEvents  = prometheus.NewDesc("boardlore_events", "Number of the newest event.", nil, nil)
	descFollows = prometheus.NewDesc("boardlore_replica_follows",
		"1 where lists are read from the replica, 0 where it is away.", nil, nil)
	descBehind = prometheus.NewDesc("boardlore_replica_behind_seconds", "How far the replica is behind, at most.", nil,
		nil)
	descFree = prometheus.NewDesc("boardlore_disk_free_bytes", "Room left where the private database lies.", nil,
		nil)
	descDisk   = prometheus.NewDesc("boardlore_disk_bytes", "All room where the private database lies.", nil, nil)
	descMirror = prometheus.NewDesc("boardlore_mirror_entries",
		"Of a mirror: entries of the other registry's log that are proved here.", nil, nil)
	descChecked = prometheus.NewDesc("boardlore_mirror_checked_seconds",
		"Of a mirror: how long ago it was held to the other's log.", nil, nil)
	descAlarm = prometheus.NewDesc("boardlore_mirror_alarm",
		"Of a mirror: 1 where the other showed a log that does not go on from the one before, and it follows no more.",
		nil, nil)
	storeFields = []*prometheus.Desc{descHits, descMisses, descBytes, descConns, descIdle, descWaits, descWaiting,
		descUp, descReady, descSize,
		descOpen, descOldest, descEvents, descFollows, descBehind, descFree, descDisk, descMirror, descChecked,
		descAlarm}
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
	gauge := func(d *prometheus.Desc, v float64) { ch <- prometheus.MustNewConstMetric(d, prometheus.GaugeValue, v) }
	gauge(descWaiting, float64(m.turns.waits()))
	if st.Replica != "" {
		gauge(descFollows, one(st.Replica == "follows"))
		gauge(descBehind, st.Behind.Seconds())
	}
	if st.Disk.Total > 0 {
		gauge(descFree, float64(st.Disk.Free))
		gauge(descDisk, float64(st.Disk.Total))
	}
	if f, err := m.st.Mirror(context.Background()); err == nil && f != nil && !f.Promoted {
		gauge(descMirror, float64(f.Size))
		gauge(descAlarm, one(f.Alarm != ""))
		if !f.CheckedAt.IsZero() {
			gauge(descChecked, time.Since(f.CheckedAt).Seconds())
		}
	}
	gauge(descReady, one(m.st.Ready(context.Background()) == nil))
	f, err := m.st.Figures(context.Background())
	gauge(descUp, one(err == nil))
	if err == nil {
		gauge(descSize, float64(f.Bytes))
		gauge(descOpen, float64(f.Open))
		gauge(descOldest, f.Oldest.Seconds())
		gauge(descEvents, float64(f.Events))
	}
}

func one(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}

// mux is the figures and the profiles, for a listener that strangers don't reach.
func (m *metrics) mux() http.Handler {
	mux := http.NewServeMux()
	mux.Handle("GET /metrics", m.handler)
	mux.HandleFunc("/debug/pprof/", pprof.Index)
	mux.HandleFunc("/debug/pprof/profile", pprof.Profile)
	mux.HandleFunc("/debug/pprof/trace", pprof.Trace)
	return mux
}
