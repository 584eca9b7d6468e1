package board

import "strings"

// topic is something that a text may speak of and that can hurt whoever goes
// by it: a set.
type topic uint16

const (
	aboutPolarity   topic = 1 << iota
	aboutVoltage          // and other ratings
	aboutPower            // power-up, and working with the power on
	aboutSubstitute       // another part, or none, instead
	aboutSafety           // mains, charge, cells, fuses, and what is said to be safe
	aboutEase             // what may be done, or need not be, or does not matter
	unread                // what no list here has a word of, or what hides its words
	unheard               // a word that is not known to say nothing of direction, ratings or substitutes
	leads                 // a word that leads somewhere or compares, or a colour
)

// topical is what makes a note or a replacement's reason one that a second
// reviewer has to read.
const topical = aboutPolarity | aboutVoltage | aboutPower | aboutSubstitute | unread

// anyTopic is all of them.
const anyTopic = topical | aboutSafety | aboutEase

// topicWords holds the words of a topic in the languages that are read:
// English, German, French, Spanish, Italian, Dutch, Polish and Russian, in
// lower case. A stem stands for every word that begins with it, a whole word
// and a phrase for themselves; phrases are parted by commas.
type topicWords struct {
	topic   topic
	stems   string
	whole   string
	phrases string
}

// The lists are common practice. They are made to find too much rather than
// too little: what they find is read by a second reviewer, nothing more.
var lexicon = []topicWords{
	{topic: aboutPolarity,
		stems: `polar polung verpol positiv négativ negativ anod cathod kathod katod stripe streifen revers invers inverti inverti vertausch
		 umgekehrt verkehrt umgedreht andersherum andersrum rückwärts backward flip rotat orient envers retourn rovesci capovol
		 contrari upside mirror spiegel turned swapped полярн плюс минус положит отрицат анод катод полос переверн наоборот
		 biegun dodatni ujemn odwrot omgekeer opposit opposto gegengesetzt tegengesteld przeciwn противопол square quadrat notch arrow pfeil beinchen anschlussbein`,
		whole: `fascia fasce raya rayas pootje pootjes pasek paski strich striche streep strepen repère repères
		 plus minus + band bande banda moins más menos più meno leg legs bein patte patilla gambo nóżka ножка`,
		phrases: `way round,other way,anders herum,anders rum,au contraire,al revés,wrong way,marked end,marked side,which end,which way,either end,
		 dark half,dark side,dark end,light side,light end,white end,long lead,short lead,print is wrong,silkscreen is wrong,ignore the print,
		 ignore the silkscreen,aufdruck ist falsch,aufdruck stimmt nicht,sérigraphie est fausse,dunkle seite,dunkle hälfte,helle seite`},
	{topic: aboutVoltage,
		stems: `volt spannung tension tensión tensione napięci spanning напряж вольт rating rated overvolt undervolt
		 watt ватт amper ampèr ампер amps milliamp kilowatt`,
		whole: `v vdc vac ac dc kv mv hv ht`},
	{topic: aboutPower,
		stems: `power energis energiz einschalt eingeschalt anschalt angeschalt einsteck eingesteck allum brancher branché sous-tension включ
		 подключ подать encend enchuf conect accend aanzet ingeschakeld włącz zasilan live spannungsführend netzstecker`,
		whole: `plugged strom courant`,
		phrases: `while it,while running,while playing,with it on,with it running,im betrieb,in betrieb,bei laufend,en marche,en marcha,
		 in funzione,in bedrijf,podczas pracy,во время работы,на ходу,switch on,switched on,when on,unter strom`},
	{topic: aboutSubstitute,
		stems: `substitut instead ersatz anstatt anstelle equivalent équivalent äquivalent alternativ bridg bypass
		 jumper shorted shorting überbrück kurzschl kurzgeschl brück pontage ponter shunt court-circuit вместо перемыч закорот
		 замк durchtrenn abschneid abkneif sectionn отрез sustituto puente puentea sostituto ponticell overbrug zamiast zwor omit unnecessar unneeded
		 überflüssig weglass weggelass entfall inutile superflu лишн swap exchang interchang ordinary gewöhnlich`,
		whole: `statt lieu link wire draht short any egal skip leave without ohne sans без senza zonder bez foil folie across parallel snip tin zinn étain estaño stagno join joined`,
		phrases: `will do,would do,be cut,cut the,cut it,cut this,cut one,cut both,cut off the,cut r,cut c,cut d,cut out the,does as well,do as well,just as well,left out,left off,in place of,not fitted,unbestückt,
		 types do,type does,ones do,one does`},
	{topic: aboutSafety,
		stems: `fuse sicher fusibl предохр fusible bezpiecz zeker cell batter akku zelle pile accu элемент батар charg gelad entlad laden
		 décharg заряд разряд descarg scaric caric ontla rozład mains netz secteur réseau сеть сети rete sieć unplug safe sûr
		 безопас segur sicur veilig danger gefahr gefähr опас peligr pericol gevaar touch berühr anfass toucher касат tocar toccar
		 aanraken dotyk shock schlag choc удар fire feuer пожар explo burst platz electrolyt elektrolyt lithium x2 y2
		 empties ignor harmless harmlos ungefährlich inoffensif isolat isolier earth erd masse terre earthed discharg capacitor
		 kondensator condensat конденсат reservoir regulator regler`,
		whole: `cans elko elkos hot-side need needed needs nötig nécessaire нужно plug stecker fiche вилка`,
		phrases: `the can,a can,each can,every can,this can,that can,big can,tall can,large can,small can,blue can,black can,brown can,grey can,silver can,
		 round can,metal can,the becher,der becher,den becher,dem becher`},
	{topic: aboutEase,
		stems: `unimportant irrelevan whichever needless optional unwichtig gleichgültig beliebig unnötig facultati indifféren indiferente
		 indifferente onnodig niepotrzebn obojętn неважно безразлич необязател`,
		whole: `plenty suffices suffice might nothing fine ok okay enough happily freely anyway nichts reicht genügt darf dürfen suffit rien basta nada
		 niente genoeg niets wystarczy nic wolno можно достаточно ничего`,
		phrases: `may be,may stay,may go,may remain,may run,can be left,can stay,need not,no need,does not matter,doesn't matter,do not matter,
		 don't matter,not matter,braucht nicht,muss nicht,spielt keine rolle,pas besoin,n'importe,no importa,no hace falta,non importa,
		 non serve,hoeft niet,maakt niet uit,nie trzeba,nie musi,не нужно,не надо`},
}

// otherTongues are small words of languages that are not read, which betray a
// text that no list here has a word of. Letters that none of the languages
// that are read is written with betray the others.
var otherTongues = wordSet(`och inte eller utan ikke og uden ekki pode sem preciso você nije nema může nebo lze nem lehet vagy kell
	tidak boleh bisa dapat bir veya nav galima este poate nuk është amb això ez nie`)

// ownLetters are the letters beyond a to z of the languages that are read.
const ownLetters = "äöüßàâæçéèêëîïôœùûüÿáíóúñìòąćęłńóśźżабвгдеёжзийклмнопрстуфхцчшщъыьэюя"

func wordSet(words string) map[string]bool {
	set := map[string]bool{}
	for _, w := range strings.Fields(words) {
		set[w] = true
	}
	return set
}
