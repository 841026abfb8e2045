package bout

// Sabre forbids whatever brings the rear foot past the front foot (t.101.5), so
// these words belong to the other two.
var notSabre = []Weapon{Epee, Foil}

// tradeFeet are the words of the line of the feet. Lean and lines of the words that
// the stave has are taken from the stave.
var tradeFeet = []TradeWord{
	{Name: "step forward", French: "marche", German: "Schritt vorwärts", Italian: "passo avanti", Also: []string{"advance"}, Kind: KindFootwork,
		About: "The front foot and then the rear foot go forward by the same length, so that the guard stays as it was.", Does: "steps forward"},
	{Name: "step back", French: "retraite", German: "Schritt rückwärts", Italian: "passo indietro", Also: []string{"retreat", "rompre"}, Kind: KindFootwork,
		About: "The rear foot and then the front foot go back by the same length, to keep or to open the measure.", Does: "steps back"},
	{Name: "half step forward", French: "demi-marche", German: "halber Schritt vorwärts", Italian: "mezzo passo avanti", Kind: KindFootwork,
		About: "One foot gains ground and the other stays for now, so that a step can be finished, held or taken back.", Does: "takes half a step forward"},
	{Name: "half step back", French: "demi-retraite", German: "halber Schritt rückwärts", Italian: "mezzo passo indietro", Kind: KindFootwork,
		About: "One foot gives ground and the other stays for now, as a pull out of measure that can still turn.", Does: "takes half a step back"},
	{Name: "jump forward", French: "bond en avant", German: "Sprung vorwärts", Italian: "salto avanti", Kind: KindFootwork,
		About: "Both feet are off the floor and come down together nearer the opponent, with the guard kept.", Does: "jumps forward"},
	{Name: "jump back", French: "bond en arrière", German: "Sprung rückwärts", Italian: "salto indietro", Kind: KindFootwork,
		About: "Both feet are off the floor and come down together out of the opponent's reach.", Does: "jumps back"},
	{Name: "lunge", French: "fente", German: "Ausfall", Italian: "affondo", Article: "t.9.1", Source: fromSalle, Kind: KindFootwork,
		About: "The rear leg stretches and throws the front foot forward while the rear foot stays on the floor.", Does: "lunges"},
	{Name: "half lunge", French: "demi-fente", German: "halber Ausfall", Italian: "mezzo affondo", Kind: KindFootwork,
		About: "A lunge kept short on purpose, from which the fencer can go on, parry or get away.", Does: "makes a half lunge"},
	{Name: "step and lunge", French: "marche et fente", German: "Schritt und Ausfall", Italian: "passo avanti e affondo", Also: []string{"advance lunge", "step lunge"}, Article: "t.83.2, t.101.4", Source: fromSalle, Kind: KindFootwork,
		About: "A step forward whose rear foot pushes off at once into the lunge, as one movement.", Does: "steps and lunges"},
	{Name: "balestra", French: "bond et fente", German: "Sprung und Ausfall", Italian: "balestra", Also: []string{"Ballestra", "jump lunge"}, Kind: KindFootwork, Lines: []string{"feet"}, Lean: Forward,
		About: "A short flat jump forward whose landing goes over into a lunge.", Does: "makes a balestra"},
	{Name: "flèche", French: "flèche", Italian: "frecciata", Article: "t.9.1", Source: fromSalle, Weapons: notSabre, Kind: KindFootwork,
		About: "The body falls forward after the point and the rear foot runs past the front foot.", Does: "goes in flèche"},
	{Name: "step and flèche", French: "marche et flèche", Article: "t.83.2", Source: fromSalle, Weapons: notSabre, Kind: KindFootwork, Lines: []string{"feet"}, Lean: Forward,
		About: "A step forward that runs on into a flèche without a stop.", Does: "steps and goes in flèche"},
	{Name: "cross forward", French: "passe avant", German: "Kreuzschritt vorwärts", Italian: "passo incrociato avanti", Also: []string{"cross step forward"}, Article: "t.84.3", Source: fromSalle, Weapons: notSabre, Kind: KindFootwork,
		About: "The rear foot is set down in front of the front foot, which then takes its place again.", Does: "crosses forward"},
	{Name: "cross back", French: "passe arrière", German: "Kreuzschritt rückwärts", Italian: "passo incrociato indietro", Also: []string{"cross step back"}, Kind: KindFootwork,
		About: "The front foot is set down behind the rear foot, for a long way back in one movement.", Does: "crosses back"},
	{Name: "recovery", French: "retour en garde", Italian: "ritorno in guardia", Also: []string{"recover", "return to guard"}, Kind: KindFootwork,
		About: "The front foot comes back from the lunge until the fencer is on guard again.", Does: "recovers"},
	{Name: "recovery forward", French: "retour en garde en avant", Italian: "ritorno in guardia in avanti", Also: []string{"forward recovery"}, Kind: KindFootwork,
		About: "The rear foot is brought up to the lunge, so that the fencer is on guard with the ground won.", Does: "recovers forward"},
	{Name: "appel", French: "appel", German: "Appell", Italian: "appello", Kind: KindFootwork,
		About: "The sole of the front foot beats the floor, to startle or to break the rhythm, and no ground is won.", Does: "makes an appel"},
	{Name: "stop", French: "arrêt sur place", Also: []string{"stand"}, Kind: KindFootwork,
		About: "The feet go neither forward nor back for longer than one tempo.", Does: "stands"},
}
