package api

import (
	"net/http"

	"github.com/labstack/echo/v4"

	"boardlore/domain/review"
)

// route is one row of the table of contents.
type route struct {
	method string
	path   string
	role   review.Role // the least role that may ask; anyone may where it is review.Anonymous
	budget budget      // which share of the caller's allowance it draws on
	body   size        // the most bytes of body that it reads
	handle func(*server, echo.Context) error
}

// key names a route in describe.
func (r *route) key() string { return r.method + " " + r.path }

const (
	get  = http.MethodGet
	put  = http.MethodPut
	post = http.MethodPost

	anyone      = review.Anonymous
	contributor = review.Contributor
	reviewer    = review.Reviewer
)

// routes is every address of the server but the pages. What answers GET
// answers HEAD; OPTIONS is answered everywhere.
func routes() []route {
	return []route{
		{get, "/v1", anyone, reads, noBody, (*server).index},
		{get, "/v1/openapi.json", anyone, reads, noBody, (*server).description},
		{get, "/v1/schemas", anyone, reads, noBody, (*server).schemas},
		{get, "/v1/schemas/:name", anyone, reads, noBody, (*server).schema},

		{get, "/v1/boards", anyone, labour, noBody, (*server).boards},
		{get, "/v1/boards/:board", anyone, reads, noBody, (*server).board},
		{get, "/v1/boards/:board/map", anyone, reads, noBody, (*server).currentMap},
		{get, "/v1/boards/:board/revisions", anyone, reads, noBody, (*server).revisions},
		{get, "/v1/boards/:board/revisions/:n", anyone, reads, noBody, (*server).revision},
		{get, "/v1/boards/:board/differences", anyone, labour, noBody, (*server).differences},
		{get, "/v1/boards/:board/drawing.svg", anyone, labour, noBody, (*server).drawing},
		{get, "/v1/boards/:board/positions/:designator/history", anyone, labour, noBody, (*server).positionHistory},
		{get, "/v1/boards/:board/events", anyone, reads, noBody, (*server).boardEvents},
		{get, "/v1/boards/:board/events.atom", anyone, reads, noBody, (*server).boardFeed},
		{post, "/v1/boards/:board/reconciliations", anyone, labour, document, (*server).reconcile},

		{get, "/v1/proposals", anyone, reads, noBody, (*server).proposals},
		{post, "/v1/proposals", contributor, writes, wrapped, (*server).submit},
		{get, "/v1/proposals/:id", anyone, labour, noBody, (*server).proposal},
		{get, "/v1/proposals/:id/checklist", anyone, labour, noBody, (*server).checklist},
		{get, "/v1/proposals/:id/map", anyone, reads, noBody, (*server).proposalMap},
		{put, "/v1/proposals/:id/map", contributor, writes, document, (*server).amend},
		{get, "/v1/proposals/:id/reviews", anyone, reads, noBody, (*server).reviews},
		{post, "/v1/proposals/:id/reviews", reviewer, writes, small, (*server).review},
		{get, "/v1/proposals/:id/reviews/:review", anyone, reads, noBody, (*server).oneReview},
		{post, "/v1/proposals/:id/release", reviewer, writes, small, (*server).release},
		{post, "/v1/proposals/:id/decline", reviewer, writes, small, (*server).decline},
		{post, "/v1/proposals/:id/withdraw", contributor, writes, small, (*server).withdraw},

		{post, "/v1/maps/check", anyone, labour, wrapped, (*server).checkMap},
		{post, "/v1/maps/from-placements", anyone, labour, twoLists, (*server).fromPlacements},
		{post, "/v1/parts/read", anyone, labour, small, (*server).readParts},
		{post, "/v1/quantities/read", anyone, labour, small, (*server).readQuantity},

		{get, "/v1/kits", anyone, reads, noBody, (*server).kits},
		{get, "/v1/kits/:kit", anyone, reads, noBody, (*server).kit},
		{put, "/v1/kits/:kit", contributor, writes, document, (*server).keepKit},
		{get, "/v1/kits/:kit/boards", anyone, labour, noBody, (*server).kitBoards},
		{get, "/v1/kits/:kit/versions", anyone, reads, noBody, (*server).kitVersions},

		{get, "/v1/events", anyone, reads, noBody, (*server).events},
		{get, "/v1/events.atom", anyone, reads, noBody, (*server).feed},
		{post, "/v1/photographs", contributor, writes, picture, (*server).keepPhotograph},
		{get, "/v1/photographs/:sha256", anyone, reads, noBody, (*server).photograph},

		{get, "/problems", anyone, reads, noBody, (*server).problemList},
		{get, "/problems/:name", anyone, reads, noBody, (*server).problemPage},
		{get, "/healthz", anyone, reads, noBody, (*server).health},
		{get, "/readyz", anyone, reads, noBody, (*server).ready},
		{get, "/metrics", anyone, reads, noBody, (*server).metricsPage},
	}
}
