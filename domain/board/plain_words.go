package board

// colourWords are the colours, one axis in all languages together.
const colourWords = `
black white red green blue yellow brown grey gray orange violet purple pink silver gold schwarz schwarze weiß weiße
rot rote grün grüne blau blaue gelb gelbe braun braune grau graue noir blanc rouge vert bleu jaune marron gris negro
blanco rojo verde azul amarillo marrón nero bianco rosso blu giallo zwart wit rood groen blauw geel bruin czarny biały
czerwony zielony niebieski żółty brązowy чёрный черный белый красный зелёный зеленый синий жёлтый желтый`

// axes holds words of which the one in place of the other turns what is said
// round, one axis a line.
const axes = `
left right middle
links rechts mitte
linke rechte
linksanschlag rechtsanschlag
gauche droite
izquierda derecha
sinistra destra
lewo prawo
влево вправо
левый правый
in out
inside outside
inwards outwards inward outward
innen außen
up down
upper lower
top bottom above below over under
oben unten
first last second third finally
zuerst zuletzt
before after while
vor nach während
avant après pendant
antes después
prima dopo
voor na
przed po
до после
on off
ein aus
open closed shut
min max minimum maximum least most
clockwise anticlockwise counterclockwise
not now
never always sometimes
nie immer
with without
mit ohne
avec sans
is isn't
can't can cannot
high low higher lower
lang kurz
long short longer shorter
more less
mehr weniger
same opposite other
same another
towards away
positive negative
plus minus
anode cathode
anode kathode
primary secondary
ac dc
wet dry
both either neither one
seconds minutes hours
sekunden minuten stunden
secondes minutes heures
`

// leadingWords lead somewhere, name what tells one end from the other, compare,
// or say that something fits, is wrong or is not wanted.
const leadingWords = `
to towards toward onto into outward outwards inward inwards left right up down edge centre center middle ring dot bar
line tab tabs key groove bevel seam rim lip chamfer corner back front face faces facing head tail nose lead leads leg
legs pin pins wire end ends side sides half print silkscreen fit fits fitting suit suits work works smaller larger
bigger lower higher less more least greater weaker stronger cheaper needed necessary required unneeded use uses using
take put choose prefer want wants wrong false error mistake ignore contrary mirrored reversed one ones either any
other another same equal similar instead zu zum zur richtung gegen hin außen innen aussen rand mitte kante punkt
balken linie nase fase naht rücken vorderseite rückseite seite ende kopf draht bein kleiner kleinere kleinerer
kleineres größer größere größerer größeres schwächer stärker weniger mehr passt passend passen geht tut nimm nehmen
verwenden einsetzen falsch fehler irrt stimmt nötig gleich gleiche andere anderer anderes beliebig aufdruck vers
contre anneau barre trait ligne tête côté bout dos fil extérieur intérieur bord gauche droite petit petite grand
grande moins plus convient va utiliser mettre faux fausse erreur nécessaire autre même hacia contra anillo punto barra
línea lado extremo cara hilo borde centro fuera dentro izquierda derecha menor mayor menos más sirve vale usar poner
falso mismo otro verso contro anello linea lato faccia filo bordo esterno interno sinistra destra minore maggiore meno
più bene usare mettere sbagliato errore stesso altro naar richting punt balk lijn kant zijde einde draad midden buiten
binnen links rechts grotere minder meer past gebruik fout zelfde stronę ku pierścień kropka linia strona koniec drut
krawędzi środka lewo prawo mniejszy większy mniej więcej pasuje użyj błąd ten sam inny к ко от наружу внутрь кольцо
точка линия сторона стороне конец вывод край краю центр центру влево вправо меньше больше подходит годится ошибка
неверно другой`

// plainWords are words, of the languages that are read, that say nothing of
// which way round a part stands, of what it bears or of what may stand instead:
// how it looks and ages, where one gets at it, who made it and when. Common
// practice of service notes.
const plainWords = `
esr ripple hours endurance lifetime impedance series reliable quality modern nowadays cool cooler warm warmer quieter hum drift distortion losses leakage
maker makers made makes production delivery stock catalogue catalog datasheet sheet data family families range ranges lot lots supplier
a an the of on in at is are was were be been has have had and but or so very quite often mostly most many some few
several all every each seen found board boards unit units set sets sample samples early late later earlier original
originally factory production made maker makers brand series batch date dated code year years old older aged ages
ageing aging age time times since until about around almost nearly only also too here there it its they them their
this that these those which who when by from for my mine our ours two three four five six seven eight nine once twice
never always sometimes rarely usually still already again before glue glued gluing glues foot feet base body bodies
can cans case sleeve sleeves shrunk shrinks shrunken shrink label labels labelled unlabelled hard easy easily read
reads readable legible illegible faded fades fade worn wears wear dirty dirt dust dusty clean cleaned stained stain
stains discoloured discolored corroded corrosion rust rusty rusted leaky leaks leak leaked leaking bulged bulges
bulging dried dries dry drying out crack cracks cracked brittle loose lose loosely tight tightly wide thin thick big
large small soft sticky brown-ish scratched dented dent painted paint lacquer lacquered varnish wax waxed dull shiny
clear cloudy burnt burned scorched hot warm cool cold heat warms runs run sits sit stands stand leans lean touches
close near beside behind under underneath below above between next hidden hides covered cover cable cables loom ribbon
shield shielding heatsink sink screw screws bracket clip clips holder holders joint joints pad pads track tracks lift
lifts lifted lifting slightest pull pulls torn tears tear come comes came replaced renewed repaired reworked rework
resoldered previous previously owner service serviced serviceman visit date-code measured measures measure drift
drifts drifted highest low-esr noise noisy hum hums smell smells smelled heard visible visibly invisible look looks
looked like electrolyte fluid residue crust crusty fluff moisture damp water spill spilled tobacco smoke-stained fine
capacity esr leakage drop dropped drops loss losses fails fail failed failing failure fault faulty faults bad good
poor worse worst weak tired dead known culprit first suspect photograph photo photographs picture pictures shown
drawing schematic manual parts list lists in-circuit circuit meter nothing special careful carefully gently slowly
gentle does do did amp amplifier channel channels headphone headphones radio display keyboard chassis lid knob knobs
coil coils transformer resistor resistors connector socket sockets crystal relay switch lamp ic chip chips
potentiometer der die das den dem des ein eine einer eines einem einen ist sind war waren hat haben wird werden wurde
wurden und oder aber auch sehr oft meist meistens manchmal selten immer nie schon noch nur fast etwa bei auf unter
neben hinter im am beim vom von für seit alle allen alles viele vielen einige einigen mehrere mehreren leicht schwer
schwierig lösen löst sich gehen augen auge lötaugen lötauge leiterbahn leiterbahnen platine platinen gerät geräten
geräte frühe frühen späte späten kleber klebstoff geklebt verklebt becher gehäuse hülle schrumpfschlauch geschrumpft
etikett aufschrift lesbar unlesbar verblasst schmutzig staubig verschmutzt korrodiert rostig undicht ausgelaufen
ausgetrocknet trocknet aus aufgebläht rissig spröde locker fest heiß kalt läuft sitzt steht versteckt verdeckt kabel
kabelbaum schirm abschirmung blech kühlkörper schraube schrauben halter lötstelle lötstellen gemessen misst altert
gealtert alter alt alte alten defekt defekte ersetzt erneuert getauscht ausgetauscht repariert werkseitig originale
hersteller baujahr datumscode datum bekannt ausfall fällt häufig gern gerne vorsicht vorsichtig langsam riecht geruch
sichtbar unsichtbar bild foto plan schaltplan stückliste messgerät le la les un une du de d l est sont était étaient
ont et ou mais aussi très souvent parfois rarement toujours jamais déjà encore sous derrière entre près dans par chez
tous toutes quelques plusieurs colle collé collée boîtier gaine étiquette lisible illisible effacé sale poussière
corrodé fuit fuyait coulé sec séché gonflé fissuré cassant chaud chauffe froid piste pistes pastille pastilles carte
cartes appareil blindage câble câbles vis remplacé changé réparé usine origine fabricant année ancien vieux vieilli
mesuré facile difficile facilement fragile el los las una unos unas es son era eran y o pero también muy casi siempre
nunca ya aún bajo debajo detrás cerca del al por pegamento pegado pegada funda etiqueta ilegible sucio polvo corroído
gotea seco hinchado agrietado frágil caliente frío pista pistas placa placas aparato blindaje mazo tornillo tornillos
cambiado reparado fábrica fecha año viejo medido fácil difícil fácilmente il lo gli i uno sono erano e anche molto
spesso talvolta sempre mai già ancora sotto dietro tra vicino della dello degli delle nel nella colla incollato guaina
etichetta leggibile illeggibile sporco polvere corroso secco gonfio crepato caldo freddo piazzola scheda schede
schermo cavo cavi vite viti sostituito riparato fabbrica anno vecchio misurato facilmente het een zijn en maar ook
zeer vaak soms altijd nooit nog onder achter tussen bij op van lijm gelijmd huls etiket leesbaar onleesbaar vuil stof
gecorrodeerd lekt lek droog bol gebarsten broos heet koud baan banen eilandje printplaat toestel afscherming kabels
kabelboom schroef schroeven vervangen gerepareerd fabriek jaar oud gemeten makkelijk moeilijk laat zit jest są był
były lub ale też bardzo często czasem zawsze nigdy już jeszcze pod za między przy na z ze klej klejony koszulka
etykieta czytelny nieczytelny brudny kurz skorodowany cieknie wysechł suchy spuchnięty pęknięty kruchy gorący ciepły
zimny ścieżka ścieżki płytka płytki płytek wiązka wiązką przewodów ekran śruba śruby wymieniony naprawiony fabryczny
rok stary zmierzony łatwo trudno и или но тоже очень часто иногда всегда никогда уже ещё еще под за между на в у с со
клей приклеен этикетка читается пыль грязь течёт течет высох сухой вздут трещина хрупкий горячий тёплый холодный
дорожка дорожки плата платы плате экран кабель жгут винт винты заменён заменен завод год старый измерен легко трудно
with without after off last next-to twenty thirty forty fifty hundred normal usual common reached screwdriver washer
mica reach owners mit ohne nach letzten üblich fuß braunem brauner bleu bleue avec sans après dernier con sin después
último senza dopo ultimo met zonder laatste bez po без после besser best beter better lepiej meglio mejor mieux лучше
life export domestic version versions lasts one checked checks tested
go goes gone get gets got become becomes became turns unscrew unscrewed unsolder unsoldered reachable accessible access
attached fixed fixes fastened held holds bundled tied tucked squeezed wedged glass plastic metal rubber foam felt felts tape taped wheel flywheel
belt motor deck drive tray door keys button buttons slider sliders fan grille vent vents screening pen pencil ink stamp stamped handwritten
written paper sticker stickers serial number numbers colour color grime grease greasy nicotine verdigris mould mold whitish yellowed
browns darkens yellowish brownish darkened bleached swollen swells swell puffed oozes oozed seeps seeped weeps wept sweats crackle crackles crackling
pops popping flutter wobble wobbles wobbly rattles squeaks scratches scratchy intermittent occasionally regularly commonly probably apparently
presumably decade decades month months week weeks day days hour summer winter storage stored shelf attic cellar basement humid fragile
delicate awkward fiddly tricky simple quick slow patient hot-air desoldering soldered solder soldering blob blobs via vias plated through hole holes
copper trace traces eyelet eyelets delaminated delaminates peels peeled flake flakes flaking bodge bodged wired wire-wound tall taller slim fat stubby round oval flat surface mounted axial radial standing lying upright tilted slanted
donated bought sold spare spares common rare obsolete discontinued available unobtainium supplier supplied revision revised
documented undocumented marked unmarked drawn noted note notes remark remarks see sees seeing find finds watch keeps kept per than then
what where why how whether because since although though while during within among along inside outside everything something
somewhere everyone
du au aux en dès ans an mois jour jours trente vingt dix quarante cinquante cent mal bien peu assez trop plutôt surtout partout ici
il elle ils elles ce cet cette ces mon ma mes son sa ses leur leurs qui que dont où pour quand si comme tout toute fragiles secs noirci noircie
jauni brûlé usé usée rouillé rouillée desserré cassé cassée décollé décollée pourri étanche graisse tabac humide humidité caoutchouc ressort moteur
werden jahre jahren jahrzehnten monaten wochen tagen dreißig zwanzig vierzig fünfzig man es er sie wir ich mein unser ihr ihre sein
seine dieser diese dieses diesem diesen jeder jede jedes welche welcher wo wann weil wenn dass ob durchgehend überall hier dort dabei dahinter
darunter daneben davor zwischen innerhalb außerhalb während gegenüber ausgebaut ausbauen abschrauben abgeschraubt entfernt entfernen erreichbar
zugänglich gummi metall kunststoff glas filz band riemen motor laufwerk tür taste tasten schieber lüfter bleistift tinte stempel
handschriftlich papier aufkleber seriennummer nummer farbe nikotin grünspan schimmel vergilbt gebräunt geschwollen geplatzt nass trocken kratzt
knistert knackt klappert brummt rauscht gelegentlich regelmäßig lagerung keller dachboden feuchtigkeit empfindlich fummelig achse ausgeschlagen
abgenutzt verschlissen gelötet gebrochen abgelöst abgehoben beschädigt kalte durchkontaktierung kupfer loch löcher
verbaut bestückt liegend stehend schräg rund flach hoch niedrig schmal dick dünn groß klein große kleine großen kleinen`

// reasonPhrases are what is said in favour of a part that is better, or still to
// be had. Common practice.
const reasonPhrases = `
	longer life,long life,longer-lived,longer lived,long-lived,last longer,keeps longer,runs cooler,run cooler,stays cooler,
	lower esr,low esr,less esr,lower losses,lower loss,lower noise,less noise,less hum,less drift,drifts less,less distortion,lower distortion,
	lower leakage,less leakage,leaks less,higher ripple,more ripple current,ripple current,more endurance,longer endurance,more reliable,more stable,better made,better sealed,
	better quality,better suited to heat,better available,easier to get,easier to find,easier to buy,easy to get,easy to find,hard to get,hard to find,
	no longer made,no longer sold,no longer available,no longer to be had,not made any more,not made anymore,not sold any more,
	out of production,still made,still available,still sold,of today,made today,sold today,same footprint,same pitch,same size,same height,
	same diameter,same body,same can,same outline,same family,same maker,same series,smaller can,smaller body,fits the holes,fits the board,fits the pads,fits the pitch,
	dries out less,dries out later,dries out slower,ages better,ages less,ages slower,längere lebensdauer,hält länger,bleibt kühler,wird weniger heiß,nicht mehr erhältlich,
	nicht mehr lieferbar,nicht mehr hergestellt,besser erhältlich,leichter erhältlich,geringere verluste,durée de vie plus longue,chauffe moins,plus disponible,
	plus fabriqué`

// boundWords; see boundWord.
const boundWords = `
from to up until till through before after below above over under and or without except bis ab vor nach unter über ohne bis-auf
à avant après sous sur sans`

// caseWords; see caseWord.
const caseWords = `
dip dil sip sil soic so sop ssop tssop qfp plcc lcc to to-92 to-220 sot smd plastic case`

// frailWords are those of cautions about edges, springs, hinges, glass and
// static.
const frailWords = `
to in of the lower upper sharp edge edges corner corners metal plastic plastics latch latches hook hooks lug lugs spring springs hinge hinges
glass dial scale window needle pointer string cord belt belts wheel wheels flywheel head heads tape door drawer frame
front rear panel panels sheet jumps flies breaks breaking broken snaps bent bends straight
shorter longer do not lose mind wear strap wrist static sensitive gloves fingers finger pinch pinched cuts
tears easily bundle flat flex tail foil ribbon ribbons opened opening removed remove removing taking apart together
back kante kanten rand ränder scharf scharfe blechs ecke ecken metall kunststoff rastnase rastnasen haken feder federn
scharnier glas skala zeiger seil riemen rad räder schwungrad rahmen frontplatte rückwand springt bricht
gerade kürzer länger als die anderen andere nicht verlieren achtung armband finger klemmen offen ressort
ressorts clavier saute démontage bord bords coupant coupants tranchant métal plastique verre cadran aiguille courroie
cadre façade casse cassent attention borde bordes cortante metal plástico muelle vidrio aguja correa marco salta rompe
cuidado bordo bordi tagliente tagliente metallo plastica molla vetro manopola cinghia telaio salta via rompe attenzione
rand randen scherp metaal kunststof veer glas wijzer snaar breekt let op krawędź ostra metal plastik sprężyna szkło pasek
pęka uwaga край края острый металл пластик пружина стекло ремень ломается осторожно`

// wetWords are those of which a caution is read by two, plain though they are.
const wetWords = `
water spill spilled moisture damp clean cleaned cleaning wash washed fluid wasser agua eau acqua
woda вода limpio`

// denyingWords deny what they stand before.
const denyingWords = `
not no never none nothing anything nobody neither nor without cannot can't isn't don't doesn't hardly rarely nicht nie kein keine
keinen ohne kaum weder pas jamais aucun aucune sans ni no nunca nada sin ningún ninguna non mai nessun nessuna senza né niet nooit geen zonder
nie nigdy bez żaden не нет никогда без ни anything except but`

// protectiveWords begin the words of a function that keeps a fault small: it
// limits, blocks, clamps, senses, or sets a voltage or a current that something
// else lives by. Common practice.
const protectiveWords = `
crowbar limit begrenz protect protec schutz sperr blocking interlock verrieg clamp sens shunt feedback
gegenkoppl rückkopp contre-réaction bias ruhestrom repos polaris inrush einschaltstrom trip cutout cut-out cutoff abschalt overvolt
overcurrent überspann überstrom freewheel flyback freilauf suppress disconnect beveilig zabezpiecz защит огранич обратн`

// quietWords; see quietWord.
const quietWords = `
linear logarithmic lin log taper detent gang ganged balance volume tone treble-boost loudness fader
range momentary toggle rotary slide push-button pushbutton header male female angled right-angle row rows way ways din phono jack mini-jack
latching illuminated miniature subminiature square-shaped cap-less dual single quad octal op-amp opamp timer comparator gate
to into out up down left right top bottom upper lower front back rear side sides edge edges corner corners centre center
middle end ends inner outer inside outside over under wire wires lead leads leg legs pin pins tab tabs face dot ring line
another against apart along across round into onto towards toward
wiper wipers filament filaments spring springs contact contacts grease lubricant idler tyre pulley pulleys shaft shafts
spindle bush bushing bearing bearings gear gears lever levers hinge hinges latch latches catch pivot screwed bolted nut nuts
threaded thread clamp clamps grommet sleeve tubing heatshrink shrink insulation insulated carbon film metal plastic plastics
glass rubber ceramic wood wooden bakelite phenolic fibre foil enamel steel brass aluminium tinned silvered gold plated
socketed sockets socket plug plugs jack jacks bayonet cap caps lens bulb bulbs scale dial window pointer needle needles
string cord cords belt belts flat jumps flies breaks break breaking broken snaps snap bends bend bent straight tighten
tightened tightens loosen loosens slip slips slipped slide slides stick sticks stuck jam jams jammed bind binds turn turns turned
press pressed pushes push pushed rotate worn-out wobbly tear sharp burr burrs gap gaps slot slots groove grooves rivet rivets
riveted weld welded tag tags strip strips lug lugs post posts pillar pillars standoff standoffs spacer spacers bracket brackets
crackling hiss hissing whine whining buzz buzzes buzzing silent silence quiet loud dim bright dark flickers flicker blinks
distorted distortion thump pop mute muted channel channels sound bass treble stereo mono picture screen screens key keys
button knob knobs pot pots potentiometer track wipes wiped wipe spray sprayed cleaner alcohol isopropyl brush brushed
often reads read reading readings nominal tolerance value values high low drifted drift drifts upwards downwards
factory-fitted hand-soldered hand hands later-type etched silkscreened silkscreen print printed stencil code codes coded band bands
striped four-band five-band stamped marked marking markings number figure figures letters letter
socket-mounted horizontal vertical horizontally vertically raised raise stood lying lies laid leaned tilts tilt foam pad pads
spaced spacing height heights short long longer shorter taller size sizes millimetre millimetres mm
flux cement epoxy silicone putty tar resin rosin hardened cracked crumbled crumbles crumbling softened gummy gooey
squeezed pinched trapped routed dressed passes pass crosses cross runs below beneath
discontinued equivalent-looking unmarked unusual usual typical typically normal normally common commonly expected known
collector replaced repair repairs repaired previous earlier later first last second third half quarter
sort kind kinds type types pattern patterns version variants variant layout revision issue issues
wiring way five-way keyed please see compare seen noted shown drawn drawing missing absent present printed
remove removed removes removing unclip unclips undo undone open opened opens close closes closed closing lid lids deck decks
fit fits fitted fitting refit take takes taken put puts free frees freed cut cuts clean cleans cleaning again back
resolder resoldered resolders solder soldered reflow reflowed joint joints
the der die das an am auf ab aus ein eine links rechts oben unten vorn vorne hinten rand mitte seite ecke kante
schleifer feder federn kontakt kontakte fett lager welle achse zahnrad hebel scharnier knopf knöpfe regler bahn
draht drähte bein beine locker wackelt klemmt rutscht gerissen gebrochen spröde abgebrochen nachlöten nachgelötet
reinigen gereinigt fetten gefettet lösen lose abziehen abnehmen öffnen offen zu schließen
gauche droite haut bas bord coin milieu côté ressort contact contacts bouton boutons axe curseur piste fil fils
desserré cassé nettoyer nettoyé ressouder ressoudé graisse
izquierda derecha arriba abajo borde esquina lado muelle contacto contactos botón eje cursor limpiar resoldar
sinistra destra sopra sotto bordo angolo lato molla contatto contatti manopola perno pulire
links rechts boven onder rand hoek veer contact knop as schoonmaken
lewo prawo góra dół brzeg róg strona styk styki sprężyna pokrętło oś
слева справа сверху снизу край угол контакт контакты ручка ось пружина`

// buildWords; see buildWord.
const buildWords = `
build builds version versions model models export domestic home market markets region regional country countries
german germany french france british britain english uk us usa american america canadian canada japanese japan european
europe eu nordic scandinavian swedish sweden danish norwegian finnish dutch belgian italian italy spanish spain portuguese
polish russian australian australia asian chinese china korean international continental overseas domestic
deutsche deutsch italia österreich schweiz swiss austrian
plate plates label labels sticker stickers stamp stamped serial serials number numbers from up to above below until through
between after before with without mask masks solder scale scales dial logo logos badge badges print printed etched etch issue
revision rev mark mk type letter letters suffix prefix ending ends begins starts starting beginning silkscreen legend
knobs knob front panel panels rear cabinet case colour color silver black lid foot feet screws handle jack socket sockets
inlet voltage selector lettering text language inscription typeface code date week line run runs batch series second first third
fourth final production pilot prototype preproduction standard deluxe professional pro studio budget
extra additional missing absent one two fewer more only both a an of the at in on its no not
board boards edge corner marking markings hole holes wire wires cable lamp lamps led leds
ausführung ausführungen baureihe version ab bis aufkleber seriennummer schild beschriftung platte knöpfe skala blende`

// checkWords; see checkWord.
const checkWords = `
bounds limits limit range within tolerance correct present presence stands steady stable ripple hum noise volume quiet standby sag sags load loaded
unloaded full half node junction base emitter gate source drain test point points tp measured value values nominal reference ref vref heater grid
screen plate low high empty discharged recharged rises falls drops there relay transformer diode transistor resistor switch pot potentiometer
connector cable cord lead leads joint joints volts supply-rail board panel key keys button head motor solenoid speaker lit lights dark counts
grenzen bereich toleranz vorhanden richtig leerlauf last ruhe brummen sicherung zelle lampe schalter
check fuse fuses cell bleeder reservoir bridge regulator capacitor contact contacts offset filament whole winding windings continuity insulation insulated resistance short shorts shorted
rail rails supply ground chassis output input voltage current drop level bias idle quiescent speed scale lamp socket
jack plug pin pins tip ring sleeve earth value sum total left right channel track wiper end ends coil belt motor
between at of across to the no open closed still sound good right in of on and with without power up
reading readings first second main secondary primary cold hot warm resistances contactor contact-resistance
durchgang widerstand isolation wicklung kontakt masse spannung ausgang eingang`

// boardWords; see boardWord.
const boardWords = `
	timer clock counter recorder deck tape record playback phono preamp preamplifier tone mixer equaliser equalizer meter sensor interface line
	head microphone headphone speaker switch keypad dial scale button remote relay output-stage driver power-amplifier signal-processing input-selector
	oscillator detector generator sequencer synthesiser voice effects delay reverb program sound
board main mains power supply psu amplifier output control controls front panel rear logic cpu processor
	display tuner deflection convergence servo interface audio video keyboard memory motor motherboard sub daughter unit
	module assembly card pcb upper lower left right side and regulator filter inverter backlight charger`

// signalWords; see signalWord.
const signalWords = `
processor cpu microcontroller controller computer
phono riaa range select mode function speed pitch octave voice envelope lfo noise squelch agc afc avc vco pll mpx mod modulator demod
divider counter latch shift register flip-flop flipflop gate inverter comparator attenuator send return insert group cue
talkback intercom chorus reverb echo rumble contour brilliance sustain boost gain pan width depth rate tempo tune fine coarse zero pointer
sweep trigger timebase cursor brightness contrast focus hue saturation blanking start stop pause play record rewind forward eject search
timer second minute hour alarm-clock sensor light position encoder tacho tachometer serial parallel port strobe ready busy ack interrupt
rom ram eprom program programme user external internal both each upper lower front rear middle digital analogue analog
wow flutter erase equalization noise-reduction hiss dolby-like expander compressor companding detector level meter-drive ballistics
bereich wahl taste schalter geschwindigkeit tonhöhe zähler takt zeiger helligkeit kontrast aufnahme wiedergabe vorlauf rücklauf
coupling decoupling decouple bypass bulk audio signal tone volume balance loudness bass treble mid presence filter lowpass
highpass bandpass low high pass input inputs output outputs in out stage stages preamp preamplifier amplifier amp phono
line mic microphone tape head record recording playback monitor mixer mix fader equaliser equalizer eq equalisation
crossover compensation tuning tuned tuner oscillator clock crystal video sync luma chroma colour color level gain trim trimmer
display digit segment scan row column key keys keyboard matrix indicator led lamp light backlight pilot meter vu
remote headphones headphone speaker speakers loudspeaker aux motor capstan driver drive reel solenoid left right
channel channels first second third buffer pull pull-up pullup pulldown load collector grid screen anode plate
ripple smoothing local ic chip logic memory data address bus reset timing delay integrator detector demodulator
discriminator if rf hf am fm stereo mono decoder encoder mute muting selector switch scale dial treble-lift
kopplung entkopplung lautstärke höhen tiefen klang eingang ausgang verstärker filter siebung anzeige motor taste tasten
couplage découplage filtrage entrée sortie volume tonalité afficheur moteur acoplamiento desacoplo entrada salida tono
accoppiamento disaccoppiamento ingresso uscita tono ontkoppeling koppeling uitgang ingang`
