// Package metrics holds every metric's name and label on one page, and the
// methods by which the other rooms report to them. It has a registry of its
// own, so that two services can run in one process, and keeps no ids: every
// label takes its values from a short list.
package metrics

import (
	"net/http"
	"runtime/debug"
	"strconv"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"

	"ventbell/internal/kitchen"
)

// Config is what the metrics ask for when they are read.
type Config struct {
	Phases    []string                       // the phases of a batch, in order
	Open      func() (map[string]int, error) // open batches by phase
	LastHeard func() time.Time               // when the platform last sent something; zero = never
	// SocketHeard is when anything last came on each standing connection, if
	// only a ping; zero = never. nil = there are none.
	SocketHeard func() []time.Time
}

// Metrics are the service's metrics. Make them with New.
type Metrics struct {
	registry *prometheus.Registry

	calls        *prometheus.CounterVec
	callLate     *prometheus.HistogramVec
	ringLate     prometheus.Histogram
	setAside     prometheus.Gauge
	slackCalls   *prometheus.CounterVec
	slackSeconds *prometheus.HistogramVec
	ledger       *prometheus.HistogramVec
	requests     *prometheus.CounterVec
	trouble      *prometheus.GaugeVec
}

// New makes the metrics, all series there and at 0, so that a rate has a start.
func New(c Config) *Metrics {
	m := &Metrics{
		registry: prometheus.NewRegistry(),
		calls: counters("ventbell_calls_total",
			"Messages of the outbox, by what became of them.", "kind", "outcome"),
		callLate: histograms("ventbell_call_lateness_seconds",
			"From the moment a message is about until it was posted.",
			[]float64{.05, .1, .25, .5, 1, 2, 5, 10, 30, 60, 300}, "kind"),
		ringLate: prometheus.NewHistogram(prometheus.HistogramOpts{
			Name:    "ventbell_ring_lateness_seconds",
			Help:    "From a due moment until what follows from it was committed.",
			Buckets: []float64{.001, .0025, .005, .01, .025, .05, .1, .25, .5, 1, 5, 30},
		}),
		setAside: prometheus.NewGauge(prometheus.GaugeOpts{
			Name: "ventbell_kitchens_set_aside",
			Help: "Kitchens that can't be rung again and again; somebody has to look.",
		}),
		slackCalls: counters("ventbell_slack_calls_total",
			"Calls to Slack, by how they ended.", "method", "outcome"),
		slackSeconds: histograms("ventbell_slack_seconds",
			"How long calls to Slack took, however they ended.",
			[]float64{.05, .1, .2, .4, .8, 1.5, 3, 10}, "method"),
		ledger: histograms("ventbell_ledger_seconds",
			"How long operations on the ledger took.",
			[]float64{.0005, .001, .0025, .005, .01, .025, .05, .1, .25, .5, 1, 5}, "op", "outcome"),
		requests: counters("ventbell_requests_total",
			"What came in from people, by the way it came and what became of it.", "way", "outcome"),
		trouble: prometheus.NewGaugeVec(prometheus.GaugeOpts{
			Name: "ventbell_slack_trouble",
			Help: "Lanes that take no messages until somebody does something about it, by why.",
		}, []string{"reason"}),
	}
	m.registry.MustRegister(
		m.calls, m.callLate, m.ringLate, m.setAside, m.slackCalls, m.slackSeconds, m.ledger, m.requests, m.trouble,
		openBatches{c}, lastHeard(c.LastHeard), socketHeard(c.SocketHeard), buildInfo(),
		collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}),
	)
	m.begin()
	return m
}

// Handler serves the metrics. What can't be counted at the moment is left out.
func (m *Metrics) Handler() http.Handler {
	return promhttp.HandlerFor(m.registry, promhttp.HandlerOpts{ErrorHandling: promhttp.ContinueOnError})
}

// Carried counts what became of an outbox entry.
func (m *Metrics) Carried(kind kitchen.EntryKind, outcome string) {
	m.calls.WithLabelValues(string(kind), outcome).Inc()
}

// Late notes how long after its moment a message was posted.
func (m *Metrics) Late(kind kitchen.EntryKind, late time.Duration) {
	m.callLate.WithLabelValues(string(kind)).Observe(late.Seconds())
}

// Rang notes how long after its moment a kitchen's change was committed.
func (m *Metrics) Rang(late time.Duration) { m.ringLate.Observe(late.Seconds()) }

// SetAside notes how many kitchens are set aside.
func (m *Metrics) SetAside(kitchens int) { m.setAside.Set(float64(kitchens)) }

// Called counts one call of a Slack method.
func (m *Metrics) Called(method, outcome string, took time.Duration) {
	m.slackCalls.WithLabelValues(method, outcome).Inc()
	m.slackSeconds.WithLabelValues(method).Observe(took.Seconds())
}

// Heard counts one thing that came in.
func (m *Metrics) Heard(way, outcome string) { m.requests.WithLabelValues(way, outcome).Inc() }

// Operation notes one operation on the ledger.
func (m *Metrics) Operation(name, outcome string, took time.Duration) {
	m.ledger.WithLabelValues(name, outcome).Observe(took.Seconds())
}

// Trouble notes how many lanes take no messages for a reason that waiting does
// not mend.
func (m *Metrics) Trouble(reason string, lanes int) {
	m.trouble.WithLabelValues(reason).Set(float64(lanes))
}

func counters(name, help string, labels ...string) *prometheus.CounterVec {
	return prometheus.NewCounterVec(prometheus.CounterOpts{Name: name, Help: help}, labels)
}

func histograms(name, help string, buckets []float64, labels ...string) *prometheus.HistogramVec {
	return prometheus.NewHistogramVec(prometheus.HistogramOpts{Name: name, Help: help, Buckets: buckets}, labels)
}

var openDesc = prometheus.NewDesc("ventbell_batches_open", "Open batches.", []string{"phase"}, nil)

// openBatches counts open batches when the metrics are read.
type openBatches struct{ Config }

func (openBatches) Describe(ch chan<- *prometheus.Desc) { ch <- openDesc }

func (o openBatches) Collect(ch chan<- prometheus.Metric) {
	open, err := o.Open()
	if err != nil {
		ch <- prometheus.NewInvalidMetric(openDesc, err)
		return
	}
	for _, phase := range o.Phases {
		ch <- prometheus.MustNewConstMetric(openDesc, prometheus.GaugeValue, float64(open[phase]), phase)
	}
}

var socketDesc = prometheus.NewDesc("ventbell_socket_heard_timestamp_seconds",
	"When anything last came on a standing connection, if only a ping; 0 before it has.", []string{"line"}, nil)

// socketHeard tells of each standing connection how long it is silent: one that
// looks open and brings nothing is the worst kind of broken.
type socketHeard func() []time.Time

func (socketHeard) Describe(ch chan<- *prometheus.Desc) { ch <- socketDesc }

func (heard socketHeard) Collect(ch chan<- prometheus.Metric) {
	if heard == nil {
		return
	}
	for i, at := range heard() {
		seconds := 0.0
		if !at.IsZero() {
			seconds = float64(at.UnixMicro()) / 1e6
		}
		ch <- prometheus.MustNewConstMetric(socketDesc, prometheus.GaugeValue, seconds, strconv.Itoa(i))
	}
}

// lastHeard is when the platform last sent something: a connection that looks
// open and brings nothing shows here.
func lastHeard(at func() time.Time) prometheus.Collector {
	return prometheus.NewGaugeFunc(prometheus.GaugeOpts{
		Name: "ventbell_last_heard_timestamp_seconds",
		Help: "When the platform last sent something; 0 before it has.",
	}, func() float64 {
		if t := at(); !t.IsZero() {
			return float64(t.UnixMicro()) / 1e6
		}
		return 0
	})
}

// buildInfo says which program runs.
func buildInfo() prometheus.Collector {
	version, revision, goVersion := "unknown", "unknown", "unknown"
	if info, ok := debug.ReadBuildInfo(); ok {
		version, goVersion = info.Main.Version, info.GoVersion
		for _, s := range info.Settings {
			if s.Key == "vcs.revision" {
				revision = s.Value
			}
		}
	}
	g := prometheus.NewGauge(prometheus.GaugeOpts{
		Name:        "ventbell_build_info",
		Help:        "1, with the program's version as labels.",
		ConstLabels: prometheus.Labels{"version": version, "revision": revision, "go": goVersion},
	})
	g.Set(1)
	return g
}
