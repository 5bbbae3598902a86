"""Twenty recipes with method from suppers of the Tidewater Supper Club, and what each weighs when it is done.

The weights were worked out by hand before the tool ran, from the published yields beside each: of foods (Bognar 2002,
Bergstrom 1994, CoFID, SR28 raw and cooked, as in data/yields.csv) and of kinds of dishes (FNDDS 2015-2016 medians).
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Supper:
    """A recipe as a cook writes it; cooked: its weight by hand [g]; raw: all that is eaten of it, before [g]."""

    text: str
    cooked: float
    by_hand: str

    @property
    def name(self) -> str:
        return self.text.strip().splitlines()[0]


SUPPERS = (
    Supper(
        """
Herring Quay chicken stew
Serves 4
800 g chicken thigh fillets
200 g onions, sliced
300 g carrots, in chunks
400 g potatoes, in chunks
500 ml chicken stock
2 tbsp sunflower oil
Method
Heat the oil in a large casserole and brown the chicken on all sides, then set aside.
Add the onions and carrots and soften for 8 minutes. Return the chicken to the pan with the potatoes and the stock.
Bring to the boil, cover and simmer for 45 minutes.
""",
        2042,
        "2,227 g in; stew under a lid: the quartile of FNDDS stews that loses least, 8.3 %",
    ),
    Supper(
        """
Spaghetti of the ropewalk
Serves 4
400 g spaghetti
200 g onions, finely chopped
2 cloves garlic, crushed
2 tbsp olive oil
2 x 400 g tins chopped tomatoes
Method
1. Fry the onions and garlic in the oil for 10 minutes until soft.
2. Add the tomatoes and simmer, uncovered, for 20 minutes until reduced by a third.
3. Meanwhile, cook the spaghetti in plenty of boiling salted water for 10 minutes, then drain.
4. Toss the spaghetti with the sauce and serve at once.
""",
        1724,
        "spaghetti x 2.39 (SR28); 800 g tomatoes less a third, 235 g of the rest as they are",
    ),
    Supper(
        """
Slipway tray of chicken and potatoes
Serves 4
1 kg chicken thigh fillets
800 g potatoes, quartered
300 g red onions, in wedges
3 tbsp olive oil
Method
Heat the oven to 200C/180C fan/gas 6.
Toss everything together in a roasting tin and season well. Roast for 45 minutes, turning once, until golden.
""",
        1653,
        "chicken roasted x 0.78, potato x 0.74, onion x 0.80, oil",
    ),
    Supper(
        """
Low water leek and potato soup
Serves 6
400 g leeks, sliced
500 g potatoes, diced
50 g butter
1 litre vegetable stock
150 ml double cream
Method
Melt the butter in a large pan, add the leeks and sweat gently for 10 minutes. Add the potatoes and stock, bring to
the boil and simmer for 20 minutes until the potatoes are tender.
Blend until smooth, stir in the cream and reheat without boiling.
""",
        1808,
        "1,950 g less 15 % (FNDDS soups), cream added after",
    ),
    Supper(
        """
Bosun's mash
Serves 4
1 kg floury potatoes, peeled and quartered
60 g butter
100 ml whole milk
Method
Boil the potatoes in salted water for 20 minutes until tender. Drain well, return to the pan and mash with the
butter and milk.
""",
        1163,
        "potatoes boiled x 1.00 (Bognar), butter and milk as they are",
    ),
    Supper(
        """
Baked salmon with buttered beans
Serves 4
4 salmon fillets (150 g each)
300 g green beans, trimmed
30 g butter
Method
Preheat the oven to 190C. Place the salmon on a baking tray and bake for 15 minutes.
Meanwhile, boil the beans for 5 minutes, drain and toss with the butter. Serve the salmon with the beans.
""",
        770,
        "salmon baked x 0.78 (SR28), beans boiled x 0.905 (Bergstrom, SR28), butter",
    ),
    Supper(
        """
Deckhand's chilli con carne
Serves 4
500 g lean beef mince (5% fat)
200 g onions, chopped
2 tbsp oil
2 x 400 g tins chopped tomatoes
400 g tin kidney beans, drained and rinsed
200 ml beef stock
2 tsp ground cumin
Method
Heat the oil and fry the onions for 5 minutes. Add the mince and cook until browned. Stir in the cumin, tomatoes and
stock. Simmer, uncovered, for 45 minutes. Add the beans and cook for 10 minutes more.
""",
        1774,
        "1,971 g less 10 % (FNDDS chilli con carne)",
    ),
    Supper(
        """
Net-loft dal
Serves 4
300 g red lentils
150 g onion, chopped
30 g ghee
1 tsp turmeric
Method
Rinse the lentils. Put them in a pan with the turmeric and 1.2 litres of water, bring to the boil and simmer for
30 minutes until soft. In a small frying pan, fry the onion in the ghee until golden and stir into the dal.
""",
        1355,
        "1,683 g less 19.5 % (FNDDS pulses), the water of the method among them",
    ),
    Supper(
        """
Ferryman's pilaf
Serves 4
300 g basmati rice
600 ml chicken stock
150 g onion, chopped
30 g butter
Method
Fry the onion in the butter for 8 minutes. Stir in the rice, then pour in the stock. Bring to the boil, cover with a
lid and cook over a low heat for 15 minutes. Leave to stand for 5 minutes.
""",
        940,
        "1,080 g less 13 % (FNDDS rice dishes, the quartile that loses least, for the lid)",
    ),
    Supper(
        """
Harbour wall cod in batter
Serves 4
800 g cod fillets
200 g plain flour
300 ml cold sparkling water
1.5 litres sunflower oil, for deep frying
Method
Whisk the flour and water to a smooth batter. Heat the oil to 180C in a deep pan. Dip the fish in the batter and fry
in batches for 6 minutes until crisp. Drain on kitchen paper.
""",
        1090,
        "cod x 0.74, batter less a quarter of its water, 8 % oil taken up (FNDDS)",
    ),
    Supper(
        """
Chops off the griddle with peas
Serves 4
4 boneless pork chops (200 g each)
300 g frozen peas
20 g butter
Method
Grill the chops for 6 minutes on each side. Boil the peas for 3 minutes and drain, then stir in the butter. Serve.
""",
        888,
        "pork grilled x 0.71 (Bergstrom, SR28), peas x 1.00, butter",
    ),
    Supper(
        """
Early ferry porridge
Serves 4
200 g porridge oats
1 litre whole milk
Method
Put the oats and milk in a pan. Bring slowly to the boil, then simmer for 5 minutes, stirring all the time.
""",
        1046,
        "1,230 g less 15 % (FNDDS porridge)",
    ),
    Supper(
        """
Regatta sponge cake
Serves 10
225 g butter, softened
225 g caster sugar
225 g self-raising flour
4 medium eggs
Method
Beat the butter and sugar until pale. Beat in the eggs one at a time, then fold in the flour.
Divide between two tins and bake for 25 minutes at 180C/350F/gas 4. Cool on a wire rack.
""",
        787,
        "about 875 g less 10 % (FNDDS cakes)",
    ),
    Supper(
        """
Lamplighter's ginger biscuits
Makes 30
350 g plain flour
100 g butter
175 g soft brown sugar
1 medium egg
80 g golden syrup
2 tsp ground ginger
Method
Rub the butter into the flour and ginger, then stir in the sugar. Add the egg and syrup and mix to a dough.
Roll into balls, arrange on trays and bake for 12 minutes.
""",
        713,
        "about 758 g less 6 % (FNDDS biscuits)",
    ),
    Supper(
        """
Sunday topside
Serves 6
1.5 kg beef topside joint
1 tbsp oil
Method
Heat the oven to 220C. Rub the beef with the oil. Roast for 20 minutes, then turn the oven down to 170C and roast for
a further 1 hour. Rest for 20 minutes before carving.
""",
        1169,
        "beef joint roasted x 0.77 (SR28), oil",
    ),
    Supper(
        """
Pilot's fish pie
Serves 6
1 kg floury potatoes
600 g haddock fillets
500 ml whole milk
100 g butter
50 g plain flour
Method
Boil the potatoes for 15 minutes, drain and mash with half the butter.
Poach the haddock in the milk for 8 minutes. Lift out the fish and flake it.
Melt the rest of the butter in a pan, stir in the flour and cook for 1 minute. Gradually whisk in the milk and simmer
for 5 minutes until thick. Fold in the fish and tip into a pie dish. Top with the mash.
Bake for 30 minutes at 190C until golden.
""",
        1955,
        "filling 1,215 g less 10 % (FNDDS sauces), mash 1,050 g; together less 8.8 % (FNDDS savoury pies)",
    ),
    Supper(
        """
Sailmaker's vegetable stew
Serves 6
400 g aubergine, cubed
400 g courgettes, sliced
300 g red peppers, sliced
200 g onions, sliced
4 tbsp olive oil
2 x 400 g tins chopped tomatoes
Method
Heat the oil in a large pan. Fry the onions and peppers for 10 minutes, then add the aubergine and courgettes and cook
for 5 minutes. Add the tomatoes, cover and cook for 30 minutes, then uncover and simmer for a further 40 minutes.
""",
        1874,
        "2,154 g less 13 % (FNDDS stews)",
    ),
    Supper(
        """
Quick crew stir fry
Serves 4
500 g chicken breast, in strips
200 g red peppers, sliced
150 g mangetout
100 g spring onions
2 tbsp oil
3 tbsp soy sauce
250 g dried egg noodles
Method
Boil the noodles for 4 minutes and drain. Heat the oil in a wok, add the chicken and stir-fry for 5 minutes. Add the
peppers, mangetout and spring onions and stir-fry for 3 minutes. Add the soy sauce and the noodles and toss together.
""",
        1694,
        "stir-fry less 5 % (FNDDS), noodles x 2.86 (SR28)",
    ),
    Supper(
        """
Anchorage red wine sauce
Serves 6
500 ml red wine
500 ml beef stock
50 g shallots, finely chopped
30 g cold butter
Method
Put the shallots and wine in a pan and boil until reduced by half. Add the stock and reduce by half again. Take off
the heat and whisk in the butter.
""",
        454,
        "wine 497 g to 248, with 500 g stock to 374; shallots and butter",
    ),
    Supper(
        """
Harbour master's rice pudding
Serves 6
150 g pudding rice
1.2 litres whole milk
60 g caster sugar
30 g butter
Method
Heat the oven to 150C. Put the rice, milk and sugar in a buttered dish, dot with the butter and bake for 2 hours,
stirring twice.
""",
        1328,
        "1,476 g less 10 % (FNDDS puddings)",
    ),
)

# Twelve more and one, of other trades, with what reading finds hard: what is strained and thrown away, two batches in
# one oil, half of a line, boiled rice beside, a set jam, a syrup. Worked out by hand before the tool ran.
MORE = (
    Supper(
        """
Lobsterman's fish soup
Serves 6
1 kg white fish bones and trimmings
150 g onion, sliced
200 g leek, sliced
80 g celery, sliced
1 bay leaf
1.5 litres water
150 ml dry white wine
400 g floury potatoes, diced
300 g cod fillet, in chunks
100 ml double cream
Method
Put the fish bones, onion, leek, celery, bay leaf, wine and water in a large pan. Bring to the boil and simmer for
25 minutes. Strain the stock through a fine sieve and discard the bones and vegetables.
Return the stock to the pan, add the potatoes and simmer for 15 minutes. Add the cod and poach for 5 minutes.
Stir in the cream and serve.
""",
        1954,
        "1,648 g of liquid less 10 % (FNDDS stocks); with potatoes and cod 2,183 g less 15 % (FNDDS soups); cream",
    ),
    Supper(
        """
Friday chips and fish
Serves 4
1 kg floury potatoes, cut into chips
600 g haddock fillets
25 g plain flour, for dusting
100 g plain flour
150 ml beer
1.5 litres sunflower oil, for frying
Method
Whisk the flour and beer to a batter. Heat the oil to 180C. Dust the fish with flour, dip in the batter and fry for
6 minutes. Lift out and drain on kitchen paper.
Fry the chips in the oil for 8 minutes until golden, then drain on kitchen paper.
""",
        1317,
        "chips x 0.592 with oil (CoFID), haddock x 0.74 and 8 % oil, batter less a quarter of its water, 20 g flour",
    ),
    Supper(
        """
Boatyard braised beef
Serves 6
1.2 kg braising steak, diced
30 g plain flour
2 tbsp oil
200 g onions, sliced
200 g carrots, sliced
100 g celery, sliced
300 ml red wine
500 ml beef stock
Method
Toss the beef in the flour. Heat the oil in a casserole and brown the beef in batches, then set aside. Soften the
onions, carrots and celery for 10 minutes. Pour in the wine and stock, return the beef, bring to a simmer, cover and
cook in the oven at 160C for 2 1/2 hours until tender.
""",
        2343,
        "2,555 g in; braised under a lid: the quartile of FNDDS stews that loses least, 8.3 %",
    ),
    Supper(
        """
Spice wharf chicken curry
Serves 4
600 g chicken thigh fillets, diced
300 g onions, sliced
2 tbsp curry paste
1 tbsp oil
400 ml tin coconut milk
300 g basmati rice, to serve
Method
Heat the oil and fry the onions for 10 minutes. Stir in the paste and cook for 1 minute. Add the chicken and coconut
milk and simmer for 25 minutes. Serve with boiled basmati rice.
""",
        2118,
        "1,345 g less 5 % (FNDDS curries); rice x 2.80 (SR28)",
    ),
    Supper(
        """
Regatta strawberry jam
Serves 40
1 kg strawberries, hulled
1 kg jam sugar
3 tbsp lemon juice
Method
Put the strawberries, sugar and lemon juice in a preserving pan and heat gently until the sugar has dissolved.
Bring to a full rolling boil and boil hard for 12 minutes until it reaches setting point. Skim off any scum and pot.
""",
        1574,
        "dry matter 90 + 1,000 + 4 g at the 30.5 % water of jam (SR28 19297)",
    ),
    Supper(
        """
Tide table risotto
Serves 4
300 g risotto rice
1 litre hot vegetable stock
120 g onion, finely chopped
150 ml dry white wine
50 g butter
60 g parmesan, grated
Method
Melt half the butter in a wide pan and sweat the onion for 8 minutes. Stir in the rice, pour in the wine and let it
bubble until it has evaporated. Add the stock a ladleful at a time, stirring, for 18 minutes.
Off the heat, beat in the rest of the butter and the parmesan.
""",
        1399,
        "1,595 g less 17.6 % (FNDDS rice dishes); 25 g butter and the cheese after",
    ),
    Supper(
        """
Watchkeeper's porridge
Serves 2
80 g porridge oats
300 ml water
200 ml semi-skimmed milk
a pinch of salt
1 tbsp honey, to serve
Method
Put the oats, water, milk and salt in a pan, bring to the boil, then turn down and simmer for 5 minutes, stirring.
Spoon into bowls and trickle over the honey.
""",
        520,
        "587 g less 15 % (FNDDS porridge); honey",
    ),
    Supper(
        """
Shrovetide pancakes
Serves 4
200 g plain flour
3 medium eggs
500 ml whole milk
30 g butter, for frying
Method
Whisk the flour, eggs and milk to a smooth batter and leave to stand for 30 minutes. Melt a little of the butter in a
frying pan, pour in a ladle of batter and cook for 1 minute on each side. Repeat with the rest.
""",
        760,
        "865 g less 15 % (FNDDS pancakes), 25 g butter taken up",
    ),
    Supper(
        """
Smokehouse pulled pork
Serves 8
2 kg boneless pork shoulder
2 tbsp soft brown sugar
1 tbsp smoked paprika
2 tsp salt
250 ml dry cider
150 ml barbecue sauce
Method
Mix the sugar, paprika and salt and rub all over the pork. Sit it in a roasting tin, pour the cider around it, cover
tightly with foil and cook in the oven at 150C for 5 hours.
Lift out the pork and discard the juices. Shred the meat and stir in the barbecue sauce.
""",
        1659,
        "pork shoulder braised x 0.735 (SR28), half of the rub, sauce",
    ),
    Supper(
        """
Bread and butter pickles
Serves 20
1 kg cucumbers, sliced
300 g onions, sliced
3 tbsp salt
500 ml cider vinegar
250 g granulated sugar
1 tbsp mustard seeds
Method
Toss the cucumbers and onions with the salt and leave for 3 hours. Rinse well and drain.
Bring the vinegar, sugar and mustard seeds to the boil in a pan and simmer for 5 minutes.
Pack the vegetables into jars and pour over the hot vinegar.
""",
        1859,
        "vegetables less 10 % drawn out by the salt (common practice, no source), vinegar syrup less 10 % (FNDDS)",
    ),
    Supper(
        """
Vanilla syrup for the punch
Serves 10
500 ml water
400 g caster sugar
1 vanilla pod
Method
Put the water, sugar and vanilla pod in a pan and heat gently until the sugar has dissolved. Boil until reduced by a
third. Strain, discard the pod and leave to cool.
""",
        651,
        "syrup of 748 ml (sugar takes 0.62 ml a gram in water) less a third of its volume, all of it water",
    ),
    Supper(
        """
Night boat beef and broccoli
Serves 4
400 g rump steak, in strips
300 g broccoli florets
200 g mushrooms, sliced
3 cloves garlic, crushed
2 tbsp oil
3 tbsp oyster sauce
1 tbsp soy sauce
250 g dried flat rice noodles
Method
Soak the noodles in boiling water for 8 minutes, then drain.
Heat the oil in a wok, add the beef and stir-fry for 3 minutes. Add the broccoli, mushrooms and garlic and stir-fry for
5 minutes. Add the oyster sauce, soy sauce and noodles and toss until hot.
""",
        1799,
        "stir-fry 1,008 g less 5 % (FNDDS), rice noodles x 3.36 (SR28)",
    ),
    Supper(
        """
Orchard lane apple pie
Serves 8
250 g plain flour
125 g cold butter, diced
3 tbsp cold water
800 g cooking apples, peeled and sliced
100 g caster sugar
1 egg, beaten, to glaze
Method
Rub the butter into the flour, stir in the water and bring together to a dough. Chill for 30 minutes.
Line a pie dish with two thirds of the pastry, fill with the apples and sugar and cover with the rest of the pastry.
Brush with the egg and bake at 190C for 40 minutes.
""",
        1192,
        "1,340 g with 20 g of the egg, less 11 % (FNDDS fruit pies)",
    ),
)
