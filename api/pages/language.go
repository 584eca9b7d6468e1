package pages

import (
	"net/http"
	"reflect"
	"text/template/parse"

	"github.com/labstack/echo/v4"

	"boardlore/domain/message"
)

// languageCookie keeps the language that a visitor chose.
const languageCookie = "language"

// languageOf is the language of a page: the one that was chosen, else what the
// browser asks for.
func languageOf(c echo.Context) *message.Language {
	if k, err := c.Cookie(languageCookie); err == nil {
		if l := message.Named(k.Value); l != nil {
			return l
		}
	}
	return message.Match(c.Request().Header.Get("Accept-Language"))
}

// setLanguage keeps the chosen language and goes back to the page.
func (p *Pages) setLanguage(c echo.Context, _ *visit) error {
	const year = 365 * 24 * 60 * 60
	l := message.Named(c.Param("tag"))
	if l == nil {
		return echo.ErrNotFound
	}
	p.setCookie(c, languageCookie, l.Tag, year)
	return c.Redirect(http.StatusSeeOther, localPath(c.QueryParam("back")))
}

// Others are the languages that a page can be had in instead.
func (v view) Others() []*message.Language {
	var out []*message.Language
	for _, l := range message.Languages {
		if l != v.Language {
			out = append(out, l)
		}
	}
	return out
}

// worded puts messages into words and leaves everything else as it is.
func worded(in *message.Language, x any) any {
	switch x := x.(type) {
	case message.Message:
		return in.Speak(x)
	case *message.Message:
		return in.Speak(*x)
	case message.Sayer:
		if reflect.TypeOf(x).Kind() != reflect.String { // names of documents stand in attributes as they are
			return in.Speak(x.Say())
		}
	}
	return x
}

// speak has every value that a template writes or tests pass through say, so
// that a page may hold messages wherever it holds texts, and an empty one is as
// good as none.
func speak(n parse.Node) {
	switch n := n.(type) {
	case *parse.ListNode:
		if n == nil {
			return
		}
		for _, x := range n.Nodes {
			speak(x)
		}
	case *parse.ActionNode:
		if len(n.Pipe.Decl) == 0 {
			spoken(n.Pipe)
		}
	case *parse.IfNode:
		branch(&n.BranchNode)
	case *parse.WithNode:
		branch(&n.BranchNode)
	case *parse.RangeNode:
		speak(n.List)
		speak(n.ElseList)
	}
}

func branch(n *parse.BranchNode) {
	spoken(n.Pipe)
	speak(n.List)
	speak(n.ElseList)
}

// spoken adds say to the end of a pipeline, once.
func spoken(p *parse.PipeNode) {
	if last, ok := p.Cmds[len(p.Cmds)-1].Args[0].(*parse.IdentifierNode); ok && last.Ident == "say" {
		return
	}
	say := parse.NewIdentifier("say").SetPos(p.Pos)
	p.Cmds = append(p.Cmds, &parse.CommandNode{NodeType: parse.NodeCommand, Pos: p.Pos, Args: []parse.Node{say}})
}
