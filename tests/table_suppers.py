"""Ten suppers of the Tidewater Supper Club, cooked by each food table first: what the tables must agree on."""

from __future__ import annotations

SUPPERS = (
    """
Ferry Landing chicken stir-fry
Serves 4
500 g chicken breast, sliced
250 g medium egg noodles
1 red pepper, sliced
200 g mangetout
6 spring onions, sliced
2 carrots, cut into matchsticks
150 g beansprouts
3 tbsp soy sauce
2 tbsp sunflower oil
1 tbsp sesame oil
2 cloves garlic, crushed
20 g fresh ginger, grated
Method
Boil the noodles in water for 4 minutes and drain.
Heat the oil in a wok and stir-fry the chicken for 5 minutes. Add the pepper, mangetout, spring onions, carrots,
beansprouts, garlic and ginger and stir-fry for 4 minutes.
Toss in the noodles, the soy sauce and the sesame oil.
""",
    """
Harbourmaster's cottage pie
Serves 6
750 g beef mince (5 % fat)
1 kg potatoes, peeled
2 onions, chopped
3 carrots, diced
2 sticks celery, diced
2 tbsp tomato puree
500 ml beef stock
1 tbsp Worcestershire sauce
50 g butter
100 ml whole milk
1 tbsp sunflower oil
Method
Boil the potatoes for 20 minutes, drain and mash with the butter and the milk.
Heat the oil and fry the onions, carrots and celery for 10 minutes. Add the mince and brown it.
Stir in the tomato puree, the Worcestershire sauce and the stock and simmer for 40 minutes.
Tip into a dish, top with the mash and bake for 30 minutes.
""",
    """
Capstan lamb hotpot
Serves 6
900 g lamb shoulder, diced
3 onions, sliced
4 carrots, sliced
1.2 kg potatoes, sliced
25 g plain flour
500 ml lamb stock
40 g butter
1 tsp dried thyme
1 tsp salt
Method
Toss the lamb in the flour. Layer it in a casserole with the onions, carrots, thyme and salt and pour over the stock.
Cover with the potatoes, dot with the butter, put on the lid and bake for 2 hours.
""",
    """
Storm Cone salmon and greens
Serves 4
600 g salmon fillet
750 g new potatoes
300 g green beans
200 g cherry tomatoes
50 g black olives
2 tbsp olive oil
1 lemon
20 g basil
Method
Boil the potatoes for 15 minutes and drain. Put them into a roasting tin with the beans, tomatoes, olives and oil.
Lay the salmon on top and roast for 20 minutes. Squeeze over the lemon and scatter with the basil.
""",
    """
Lightship red lentil dal
Serves 4
300 g red lentils
1 x 400 ml tin coconut milk
2 onions, chopped
4 cloves garlic, crushed
30 g ginger, grated
2 tsp ground cumin
1 tsp turmeric
2 tbsp rapeseed oil
200 g spinach
1 litre water
1 tsp salt
300 g basmati rice
Method
Heat the oil and fry the onions for 10 minutes. Add the garlic, ginger, cumin and turmeric.
Add the lentils, the coconut milk, the water and the salt and simmer for 25 minutes. Stir in the spinach.
Boil the rice for 11 minutes, drain and serve with the dal.
""",
    """
Cider Wharf pork and apples
Serves 6
1 kg pork shoulder, diced
500 ml dry cider
2 leeks, sliced
3 apples, cored and sliced
25 g butter
20 g plain flour
200 ml chicken stock
150 ml double cream
1 tbsp wholegrain mustard
600 g floury potatoes
Method
Melt the butter and brown the pork. Add the leeks and cook for 5 minutes, then stir in the flour.
Pour in the cider and the stock and simmer for 1 hour 30 minutes. Add the apples and the potatoes and cook for 25
minutes.
Stir in the cream and the mustard.
""",
    """
Fog Bell smoked haddock chowder
Serves 4
500 g smoked haddock
600 ml whole milk
500 g potatoes, diced
1 leek, sliced
100 g streaky bacon, chopped
150 g frozen sweetcorn
25 g butter
20 g plain flour
10 g parsley, chopped
Method
Melt the butter and fry the bacon and the leek for 8 minutes. Stir in the flour, then the milk.
Add the potatoes and simmer for 15 minutes. Add the haddock and the sweetcorn and simmer for 6 minutes. Add the parsley.
""",
    """
Crab Pot bean and sausage stew
Serves 6
12 pork sausages
2 x 400 g tins chopped tomatoes
2 x 400 g tins butter beans, drained
2 onions, sliced
2 red peppers, sliced
2 cloves garlic, crushed
1 tbsp smoked paprika
2 tbsp olive oil
200 g kale
Method
Heat the oil and brown the sausages. Add the onions and peppers and fry for 10 minutes.
Add the garlic, the paprika, the tomatoes and the beans and simmer for 25 minutes. Stir in the kale for 5 minutes.
""",
    """
Regatta jam sponge
Serves 10
225 g self-raising flour
225 g caster sugar
225 g unsalted butter
4 eggs
2 tbsp whole milk
150 g strawberry jam
1 tsp baking powder
Method
Beat the butter and the sugar, beat in the eggs, fold in the flour and the baking powder and loosen with the milk.
Bake for 25 minutes. Sandwich with the jam.
""",
    """
Night Watch chocolate pots
Serves 8
200 g dark chocolate (70% cocoa solids)
300 ml double cream
100 ml whole milk
3 egg yolks
40 g caster sugar
50 g hazelnuts, chopped
Method
Heat the cream and the milk, pour over the chocolate and stir. Beat in the yolks and the sugar.
Pour into pots, chill and scatter with the hazelnuts.
""",
)
