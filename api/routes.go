package api

import (
	"net/http"
	"slices"

	"github.com/labstack/echo/v4"

	"boardlore/domain/review"
)

// route is one row of the table of contents.
type route struct {
	method string
	path   string
	role   review.Role // the least role that may ask; anyone may where it is review.Anonymous
	budget Budget      // which share of the caller's allowance it draws on
	body   size        // the most bytes of body that it reads
	handle func(*server, echo.Context) error
}

// key names a route in describe.
func (r *route) key() string { return r.method + " " + r.path }

// tagged says whether a route's answers have a strong ETag and heed conditions.
func (r *route) tagged() bool { return r.method == get && r.path != exportPath }

const (
	get  = http.MethodGet
	put  = http.MethodPut
	post = http.MethodPost
	del  = http.MethodDelete

	anyone      = review.Anonymous
	contributor = review.Contributor
	reviewer    = review.Reviewer
	steward     = review.Steward
)

// routes is every address of the server but the pages. What answers GET
// answers HEAD; OPTIONS is answered everywhere.
func routes() []route {
	return slices.Concat(stewardRoutes(), accountRoutes(), watchRoutes(), hookRoutes(), []route{
		{get, "/v1", anyone, Reads, noBody, (*server).index},
		{get, "/v1/openapi.json", anyone, Reads, noBody, (*server).description},
		{get, "/v1/reference", anyone, Reads, noBody, (*server).reference},
		{get, "/v1/schemas", anyone, Reads, noBody, (*server).schemas},
		{get, "/v1/schemas/:name", anyone, Reads, noBody, (*server).schema},

		{get, "/v1/boards", anyone, Labour, noBody, (*server).boards},
		{get, "/v1/boards/:board", anyone, Reads, noBody, (*server).board},
		{get, "/v1/boards/:board/map", anyone, Reads, noBody, (*server).currentMap},
		{get, "/v1/boards/:board/revisions", anyone, Reads, noBody, (*server).revisions},
		{get, "/v1/boards/:board/revisions/:n", anyone, Labour, noBody, (*server).revision},
		{get, "/v1/boards/:board/revisions/:n/proof", anyone, Reads, noBody, (*server).proof},
		{get, "/v1/boards/:board/differences", anyone, Labour, noBody, (*server).differences},
		{get, "/v1/boards/:board/drawing.svg", anyone, Reads, noBody, (*server).drawing},
		{get, "/v1/boards/:board/photograph", anyone, Labour, noBody, (*server).flatPhotograph},
		{get, "/v1/boards/:board/records", anyone, Labour, noBody, (*server).records},
		{post, "/v1/boards/:board/records", contributor, Writes, document, (*server).keepRecord},
		{get, "/v1/boards/:board/experience", anyone, Labour, noBody, (*server).experience},
		{get, "/v1/boards/:board/plan", anyone, Labour, noBody, (*server).plan},
		{get, "/v1/boards/:board/parts-list", anyone, Labour, noBody, (*server).partsList},
		{get, "/v1/boards/:board/positions/:designator/history", anyone, Labour, noBody, (*server).positionHistory},
		{get, "/v1/boards/:board/events", anyone, Reads, noBody, (*server).boardEvents},
		{get, "/v1/boards/:board/events.atom", anyone, Reads, noBody, (*server).boardFeed},
		{post, "/v1/boards/:board/reconciliations", anyone, Labour, document, (*server).reconcile},

		{get, "/v1/boards/:board/doubts", anyone, Reads, noBody, (*server).doubts},
		{post, "/v1/boards/:board/doubts", contributor, Writes, small, (*server).raiseDoubt},
		{post, "/v1/boards/:board/doubts/:id/answer", contributor, Writes, small, (*server).answerDoubt},

		{get, "/v1/proposals", anyone, Reads, noBody, (*server).proposals},
		{post, "/v1/proposals", contributor, Writes, document, (*server).submit},
		{get, "/v1/proposals/:id", anyone, Labour, noBody, (*server).proposal},
		{get, "/v1/proposals/:id/checklist", anyone, Labour, noBody, (*server).checklist},
		{get, "/v1/proposals/:id/map", anyone, Labour, noBody, (*server).proposalMap},
		{put, "/v1/proposals/:id/map", contributor, Writes, document, (*server).amend},
		{get, "/v1/proposals/:id/reviews", anyone, Labour, noBody, (*server).reviews},
		{post, "/v1/proposals/:id/reviews", reviewer, Writes, document, (*server).review},
		{get, "/v1/proposals/:id/reviews/:review", anyone, Reads, noBody, (*server).oneReview},
		{post, "/v1/proposals/:id/reviews/:review/answers", contributor, Writes, small, (*server).answerReview},
		{post, "/v1/proposals/:id/reviews/:review/set-aside", steward, Writes, small, (*server).setAside},
		{post, "/v1/proposals/:id/release", reviewer, Writes, small, (*server).release},
		{post, "/v1/proposals/:id/decline", reviewer, Writes, small, (*server).decline},
		{post, "/v1/proposals/:id/withdraw", contributor, Writes, small, (*server).withdraw},

		{get, "/v1/maps/:digest", anyone, Reads, noBody, (*server).mapByDigest},
		{post, "/v1/maps/check", anyone, Labour, document, (*server).checkMap},
		{post, "/v1/maps/from-placements", anyone, Labour, document, (*server).fromPlacements},
		{post, "/v1/maps/from-photograph", anyone, Labour, document, (*server).fromPhotograph},
		{get, "/v1/rules", anyone, Reads, noBody, (*server).rules},
		{post, "/v1/parts/read", anyone, Labour, small, (*server).readParts},
		{get, "/v1/parts/read", anyone, Labour, noBody, (*server).askParts},
		{post, "/v1/quantities/read", anyone, Labour, small, (*server).readQuantity},

		{get, "/v1/kits", anyone, Reads, noBody, (*server).kits},
		{get, "/v1/kits/:kit", anyone, Labour, noBody, (*server).kit},
		{put, "/v1/kits/:kit", contributor, Writes, document, (*server).keepKit},
		{get, "/v1/kits/:kit/boards", anyone, Labour, noBody, (*server).kitBoards},
		{get, "/v1/kits/:kit/versions", anyone, Reads, noBody, (*server).kitVersions},

		{get, "/v1/drafts", contributor, Reads, noBody, (*server).drafts},
		{get, "/v1/drafts/:draft", contributor, Reads, noBody, (*server).draft},
		{put, "/v1/drafts/:draft", contributor, Writes, document, (*server).saveDraft},
		{del, "/v1/drafts/:draft", contributor, Writes, noBody, (*server).deleteDraft},
		{get, "/v1/drafts/:draft/versions", contributor, Reads, noBody, (*server).draftVersions},
		{post, "/v1/drafts/:draft/link", contributor, Writes, noBody, (*server).shareDraft},
		{del, "/v1/drafts/:draft/link", contributor, Writes, noBody, (*server).unshareDraft},
		{get, "/v1/shared-draft", anyone, Reads, noBody, (*server).sharedDraft},

		{get, "/v1/records", contributor, Reads, noBody, (*server).ownRecords},
		{get, "/v1/records/:id", anyone, Reads, noBody, (*server).record},
		{post, "/v1/records/:id/withdrawal", contributor, Writes, small, (*server).withdrawRecord},
		{get, "/v1/symptoms", anyone, Labour, noBody, (*server).symptoms},

		{get, "/v1/events", anyone, Reads, noBody, (*server).events},
		{get, "/v1/events.atom", anyone, Reads, noBody, (*server).feed},
		{post, "/v1/photographs", contributor, Writes, picture, (*server).keepPhotograph},
		{get, "/v1/photographs/:sha256", anyone, Labour, noBody, (*server).photograph},

		{get, exportPath, anyone, Reads, noBody, (*server).export},
		{get, logCheckpoint, anyone, Reads, noBody, (*server).checkpoint},
		{get, "/log/tile/*", anyone, Reads, noBody, (*server).tile},

		{get, "/problems", anyone, Reads, noBody, (*server).problemList},
		{get, "/problems/:name", anyone, Reads, noBody, (*server).problemPage},
		{get, "/healthz", anyone, Reads, noBody, (*server).health},
		{get, "/readyz", anyone, Reads, noBody, (*server).ready},
	})
}
