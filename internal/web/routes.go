package web

import "net/http"

// navigation is the list of jobs, in three groups. Only what exists is in it.
var navigation = []struct {
	key   string
	links [][2]string // address, message key
}{
	{"nav.find", [][2]string{{"/", "nav.next"}, {"/short", "nav.short"}, {"/plan", "nav.plan"}, {"/stop", "nav.stop"}, {"/winter", "nav.watch"}}},
	{"nav.do", [][2]string{{"/readings", "nav.readings"}, {"/mix", "nav.mix"}, {"/load", "nav.load"}, {"/round", "nav.round"}, {"/given", "nav.given"}}},
	{"nav.keep", [][2]string{{"/yards", "nav.yards"}, {"/shed", "nav.shed"}, {"/sheets", "nav.sheets"}, {"/rig", "nav.rig"}, {"/figures", "nav.figures"}, {"/house", "nav.house"}, {"/manual", "nav.manual"}}},
}

// bar is the bottom bar of the phone: four words.
var bar = [][2]string{{"/", "bar.next"}, {"/short", "bar.short"}, {"/round", "bar.round"}, {"/readings", "bar.readings"}}

// routes is every route, top to bottom. A new one says in doors.go who may; until
// then it is the owner's.
func (s *Server) routes() *http.ServeMux {
	m := http.NewServeMux()
	m.HandleFunc("GET /assets/{name}", s.assetFile)
	m.HandleFunc("GET /working/{id}", s.howFar)
	m.HandleFunc("POST /working/{id}/stop", s.stopWork)
	m.HandleFunc("POST /working/{id}/take", s.takeWork)
	m.HandleFunc("POST /undo", s.undo)
	m.HandleFunc("POST /units", s.setUnits)
	m.HandleFunc("POST /theme", s.setTheme)

	m.HandleFunc("GET /{$}", s.slow(s.needsPlan, s.next))
	m.HandleFunc("GET /start", s.startPlace)
	m.HandleFunc("POST /start", s.saveStartPlace)
	m.HandleFunc("GET /start/hives", s.startHives)
	m.HandleFunc("POST /start/hives", s.saveStartHives)
	m.HandleFunc("GET /start/weigh", s.startWeigh)
	m.HandleFunc("POST /start/weigh", s.saveStartWeigh)
	m.HandleFunc("GET /start/feed", s.startFeed)
	m.HandleFunc("POST /start/feed", s.saveStartFeed)
	m.HandleFunc("GET /start/plan", s.slow(s.needsPlan, s.startPlan))
	m.HandleFunc("POST /start/example", s.startExample)
	m.HandleFunc("POST /start/own", s.startOwn)

	m.HandleFunc("GET /yards", s.yards)
	m.HandleFunc("POST /yards", s.addYards)
	m.HandleFunc("GET /yards/{id}", s.yard)
	m.HandleFunc("POST /yards/{id}", s.saveYard)
	m.HandleFunc("POST /yards/{id}/hives", s.addHives)
	m.HandleFunc("POST /yards/{id}/look", s.lookYard)
	m.HandleFunc("POST /yards/{id}/order", s.orderHive)
	m.HandleFunc("POST /yards/{id}/close", s.closeYard)
	m.HandleFunc("GET /roads", s.roads)
	m.HandleFunc("POST /roads", s.lookRoads)
	m.HandleFunc("POST /roads/save", s.saveRoads)
	m.HandleFunc("GET /hives/{id}", s.hive)
	m.HandleFunc("POST /hives/{id}", s.saveHive)
	m.HandleFunc("POST /hives/{id}/look", s.lookHive)
	m.HandleFunc("POST /hives/{id}/move", s.moveHive)
	m.HandleFunc("POST /hives/{id}/unite", s.uniteHive)
	m.HandleFunc("POST /hives/{id}/split", s.splitHive)
	m.HandleFunc("POST /hives/{id}/end", s.endHive)
	m.HandleFunc("POST /hives/{id}/strike", s.strikeFact)
	m.HandleFunc("GET /figures", s.figures)
	m.HandleFunc("GET /figures/{key}", s.figureShown)
	m.HandleFunc("POST /figures/{key}", s.saveFigure)
	m.HandleFunc("GET /rig", s.rigHub)
	m.HandleFunc("GET /rig/{part}", s.rigPart)
	m.HandleFunc("POST /rig/{part}", s.saveRig)
	m.HandleFunc("GET /house", s.houseShown)
	m.HandleFunc("POST /house", s.saveHouse)
	m.HandleFunc("POST /house/backup", s.backUp)
	m.HandleFunc("GET /house/export/{form}", s.export)
	m.HandleFunc("GET /house/phones", s.phones)
	m.HandleFunc("POST /house/phones/code", s.offerCode)
	m.HandleFunc("POST /house/phones/{id}/revoke", s.revokePhone)
	m.HandleFunc("POST /house/helpers", s.addHelper)
	m.HandleFunc("POST /house/helpers/{id}/password", s.helperPassword)
	m.HandleFunc("POST /house/helpers/{id}/remove", s.removeHelper)
	m.HandleFunc("POST /house/logins/{id}/end", s.endLogin)
	m.HandleFunc("GET /house/trail", s.trail)

	m.HandleFunc("GET /login", s.login)
	m.HandleFunc("POST /login", s.saveLogin)
	m.HandleFunc("POST /login/password", s.changePassword)
	m.HandleFunc("POST /logout", s.logout)
	m.HandleFunc("GET /pair", s.pair)
	m.HandleFunc("GET /pair/{code}", s.pair)
	m.HandleFunc("POST /pair", s.savePair)
	m.HandleFunc("GET /first", s.first)
	m.HandleFunc("POST /first", s.saveFirst)
	m.HandleFunc("GET /certificate", s.certificate)
	m.HandleFunc("GET /certificate/root.crt", s.rootFile)

	m.HandleFunc("GET /manual", s.manual)
	m.HandleFunc("GET /manual/{page}", s.manualPage)
	m.HandleFunc("GET /manual/openapi.json", s.manualAPI)

	m.HandleFunc("GET /short", s.slow(s.needsTicked, s.short))
	m.HandleFunc("POST /short/sum", s.shortSum)
	m.HandleFunc("POST /short/plan", s.shortPlan)
	m.HandleFunc("GET /plan", s.slow(s.needsReplay, s.plan))
	m.HandleFunc("POST /plan/out", s.planOut)
	m.HandleFunc("POST /plan/whole", s.goOnPlanning)
	m.HandleFunc("POST /plan/frames", s.saveFrames)
	m.HandleFunc("GET /load", s.slow(s.needsPlan, s.load))
	m.HandleFunc("GET /load/{n}", s.slow(s.needsPlan, s.load))

	m.HandleFunc("GET /stop", s.slow(s.needsPlan, s.stop))
	m.HandleFunc("POST /stop/{yard}", s.saveStop)
	m.HandleFunc("GET /winter", s.slow(s.needsWatch, s.watch))
	m.HandleFunc("POST /winter/{yard}", s.saveSpring)
	m.HandleFunc("GET /given/review", s.review)

	m.HandleFunc("GET /readings", s.readings)
	m.HandleFunc("POST /readings", s.saveReadings)
	m.HandleFunc("POST /readings/judge", s.judgeReadings)
	m.HandleFunc("GET /readings/one", s.readOne)
	m.HandleFunc("POST /readings/one", s.saveReadOne)
	m.HandleFunc("GET /readings/paste", s.paste)
	m.HandleFunc("POST /readings/paste", s.previewPaste)
	m.HandleFunc("POST /readings/paste/save", s.savePaste)
	m.HandleFunc("GET /readings/pasted", s.showPasted)
	m.HandleFunc("GET /readings/scale", s.scale)
	m.HandleFunc("POST /readings/scale", s.lookScale)
	m.HandleFunc("POST /readings/scale/save", s.saveScale)

	m.HandleFunc("GET /mix", s.slow(s.needsPlan, s.mix))
	m.HandleFunc("GET /mix/step/{n}", s.tankStep)
	m.HandleFunc("POST /mix/done", s.saveBatch)

	m.HandleFunc("GET /shed", s.slow(s.needsPlan, s.shed))
	m.HandleFunc("POST /shed", s.saveBought)
	m.HandleFunc("POST /shed/handled", s.saveHandled)
	m.HandleFunc("GET /shed/labels", s.labels)
	m.HandleFunc("POST /shed/labels", s.saveLabel)
	m.HandleFunc("POST /shed/spoon", s.saveSpoon)
	m.HandleFunc("GET /shed/cost", s.cost)
	m.HandleFunc("GET /shed/trace", s.trace)
	m.HandleFunc("GET /shed/inspector.csv", s.inspectorCSV)

	m.HandleFunc("GET /given", s.given)
	m.HandleFunc("GET /given/sheet", s.slow(s.needsPlan, s.giveSheet))
	m.HandleFunc("POST /given/sheet", s.saveGiveSheet)
	m.HandleFunc("GET /given/{id}", s.right)
	m.HandleFunc("POST /given/{id}", s.saveRight)
	m.HandleFunc("POST /given/{id}/strike", s.strikeGift)

	m.HandleFunc("GET /sheets", s.slow(s.needsPlan, s.sheets))
	m.HandleFunc("GET /sheets/{kind}", s.lentSheet(s.slow(s.needsPrint, s.sheetPrint)))
	m.HandleFunc("GET /hive/{id}", s.hiveCode)
	m.HandleFunc("GET /yard/{id}", s.yardCode)

	m.HandleFunc("GET /round", s.slow(s.needsPlan, s.round))
	m.HandleFunc("POST /round/out", s.roundOut)
	m.HandleFunc("GET /round/{load}", s.trip)
	m.HandleFunc("GET /round/{load}/hive/{colony}", s.tripHive)
	m.HandleFunc("POST /round/{load}/hive/{colony}", s.saveTripHive)
	m.HandleFunc("GET /round/type", s.slow(s.needsPlan, s.typeCode))
	m.HandleFunc("POST /round/type", s.saveTypeSheet)
	m.HandleFunc("GET /round/{load}/type", s.typeSheet)
	m.HandleFunc("POST /round/{load}/type", s.saveTypeSheet)
	m.HandleFunc("GET /chores/{yard}", s.chores)
	m.HandleFunc("POST /chores/{yard}", s.saveChores)
	m.HandleFunc("GET /phone/round", s.phoneRound)
	m.HandleFunc("POST /phone/facts", s.phoneFacts)
	m.HandleFunc("POST /phone/have", s.phoneHave)
	m.HandleFunc("GET /phone/file", s.phoneFile)
	m.HandleFunc("POST /phone/file", s.takePhoneFile)
	m.HandleFunc("POST /phone/code", s.phoneCode)
	m.HandleFunc("GET /sw.js", s.serviceWorker)
	m.HandleFunc("GET /manifest.webmanifest", s.manifest)
	return m
}
