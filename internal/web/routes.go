package web

import (
	"net/http"

	"undertray.example/undertray/internal/door"
)

// route is one address the server answers.
type route struct {
	pattern string
	handle  handler
}

// routes lists every address, in the order of the pages.
func (s *Server) routes() []route {
	return append(s.httpRoutes(), []route{
		{"GET /{$}", s.yardPage},
		{"GET /v/{id}", s.vehiclePage},
		{"GET /v/{id}/p/{pos}", s.positionPage},
		{"POST /v/{id}/p/{pos}/aside", s.owners(s.asideKeep)},
		{"POST /v/{id}/p/{pos}/aside/back", s.owners(s.asideBack)},
		{"GET /v/{id}/kept", s.keptPages},
		{"GET /v/{id}/card", s.cardPage},
		{"GET /v/{id}/opened", s.openedPage},
		{"POST /v/{id}/opened", s.openedKeep},
		{"GET /v/{id}/aboard", s.aboardPage},
		{"POST /v/{id}/aboard", s.aboardKeep},
		{"GET /v/{id}/round", s.roundPage},
		{"POST /v/{id}/round", s.roundKeep},
		{"GET /v/{id}/round/today", s.answeredToday},
		{"GET /v/{id}/run", s.runPage},
		{"GET /v/{id}/run/{run}", s.runPage},
		{"GET /v/{id}/measure", s.measurePage},
		{"POST /v/{id}/measure", s.measureTake},
		{"POST /v/{id}/runs", s.owners(s.runsKeep)},
		{"GET /v/{id}/job", s.jobPage},
		{"POST /v/{id}/job/tick", s.tickKeep},
		{"GET /v/{id}/job/ticks", s.ticksNow},
		{"GET /v/{id}/job/done", s.finishPage},
		{"POST /v/{id}/job/done", s.finishKeep},
		{"GET /v/{id}/plan", s.planPage},
		{"GET /v/{id}/plan/parts", s.vehicleShopping},
		{"POST /v/{id}/plan/settled", s.planSettle},
		{"POST /v/{id}/plan/settled/{entry}/back", s.planTakeBack},
		{"GET /v/{id}/trip", s.tripPage},
		{"GET /plan", s.yardPlanPage},
		{"GET /plan/better", s.planBetter},
		{"GET /plan/parts", s.yardShopping},
		{"GET /calendar.ics", s.calendar},
		{"GET /calendar/{key}", s.calendarOf},
		{"GET /reckoning", s.reckoningPage},
		{"GET /v/{id}/listen", s.listenPage},
		{"POST /v/{id}/listen", s.listenTake},
		{"GET /v/{id}/listen/{hash}", s.heardPage},
		{"POST /v/{id}/listen/{hash}", s.heardKeep},
		{"GET /v/{id}/listen/{hash}/sound", s.heardSound},
		{"GET /v/{id}/pictures", s.picturesPage},
		{"POST /v/{id}/pictures", s.pictureKeep},
		{"GET /v/{id}/picture/{hash}/{size}", s.pictureFile},
		{"GET /v/{id}/picture/{hash}/strip", s.stripFile},
		{"POST /v/{id}/picture/{hash}/marks", s.markKeep},
		{"GET /v/{id}/count", s.countPage},
		{"POST /v/{id}/count", s.countTake},
		{"GET /v/{id}/count/then", s.thenPage},
		{"GET /v/{id}/record", s.recordPage},
		{"GET /v/{id}/handover", s.handoverPage},
		{"GET /v/{id}/handover/paper", s.owners(s.handoverPaper)},
		{"POST /v/{id}/handover/file", s.owners(s.handoverFile)},
		{"GET /v/{id}/journal", s.journalPage},
		{"GET /v/{id}/journal/{entry}", s.entryPage},
		{"POST /v/{id}/journal/{entry}", s.entryCorrect},
		{"POST /v/{id}/off/{entry}", s.offKeep},
		{"GET /v/{id}/batch/{batch}", s.batchPage},
		{"POST /v/{id}/batch/{batch}/undo", s.owners(s.batchUndo)},
		{"GET /v/{id}/add", s.addPage},
		{"POST /v/{id}/add/{what}", s.addKeep},
		{"GET /v/{id}/past", s.pastPage},
		{"POST /v/{id}/past", s.pastRead},
		{"POST /v/{id}/past/keep", s.pastKeep},
		{"GET /v/{id}/sheet", s.owners(s.sheetPage)},
		{"POST /v/{id}/sheet", s.owners(s.sheetKeep)},
		{"POST /v/{id}/sheet/marks", s.owners(s.sheetMove)},
		{"POST /v/{id}/sheet/undo", s.owners(s.sheetUndo)},
		{"GET /v/{id}/sheet/head", s.owners(s.sheetHead)},
		{"POST /v/{id}/sheet/head", s.owners(s.sheetHeadKeep)},
		{"GET /v/{id}/sheet/add", s.owners(s.sheetPosition)},
		{"POST /v/{id}/sheet/add", s.owners(s.sheetPositionKeep)},
		{"GET /v/{id}/sheet/p/{pos}", s.owners(s.sheetPosition)},
		{"POST /v/{id}/sheet/p/{pos}", s.owners(s.sheetPositionKeep)},
		{"GET /v/{id}/sheet/open", s.owners(s.sheetOpening)},
		{"POST /v/{id}/sheet/open", s.owners(s.sheetOpeningKeep)},
		{"GET /v/{id}/sheet/o/{opening}", s.owners(s.sheetOpening)},
		{"POST /v/{id}/sheet/o/{opening}", s.owners(s.sheetOpeningKeep)},
		{"GET /v/{id}/walk", s.owners(s.walkPage)},
		{"POST /v/{id}/walk", s.owners(s.walkKeep)},
		{"GET /v/{id}/known", s.knownPage},
		{"POST /v/{id}/known", s.knownKeep},
		{"GET /kinds", s.kindsPage},
		{"GET /kinds/{kind}", s.kindPage},
		{"GET /kinds/{kind}/means", s.meansPage},
		{"GET /kinds/{kind}/wall", s.wallPaper},
		{"GET /search", s.searchPage},
		{"GET /new", s.owners(s.newPage)},
		{"POST /new", s.owners(s.newKeep)},
		{"GET /take", s.owners(s.takePage)},
		{"POST /take", s.owners(s.takeKeep)},
		{"GET /settings", s.owners(s.settings)},
		{"POST /settings", s.owners(s.settingsKeep)},
		{"GET /v/{id}/settings", s.owners(s.vehicleSettings)},
		{"POST /v/{id}/settings", s.owners(s.vehicleSettingsKeep)},
		{"GET /devices", s.owners(s.devicesPage)},
		{"POST /devices", s.owners(s.deviceInvite)},
		{"POST /devices/{device}/away", s.owners(s.deviceAway)},
		{"POST /devices/calendar", s.owners(s.calendarMake)},
		{"POST /devices/token", s.owners(s.tokenMake)},
		{"POST /devices/{device}/anew", s.owners(s.calendarAnew)},
		{"GET /pair", s.pairPage},
		{"POST /pair", s.pairTry},
		{"GET /" + door.CAFile, s.houseCert},
		{"GET /login", s.loginPage},
		{"POST /login", s.loginTry},
		{"POST /logout", s.logout},
		{"GET /assets/{build}/{name}", s.asset},
		{"GET /keeper.js", s.keeper},
		{"GET /", s.nowhere},
	}...)
}

// Handler returns what answers every request.
func (s *Server) Handler() http.Handler {
	mux := http.NewServeMux()
	for _, r := range s.routes() {
		mux.Handle(r.pattern, s.adapt(r.handle))
	}
	return s.wrap(forPrograms(mux, s))
}
